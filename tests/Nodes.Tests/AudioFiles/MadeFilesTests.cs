using System.Runtime.InteropServices;
using System.Security.Cryptography;
using System.Text.Json;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles;

/// <summary>
/// Small files by the reference encoder of FLAC, libsndfile and ffmpeg, held to what the reference decoder and libsndfile read from them:
/// Reference/audio_files/manifest.json, made by the script beside it.
/// </summary>
public sealed class MadeFilesTests
{
    private const string LengthMissing = "RG304 warning: its length was never filled in, as when a recording breaks off; all 3,000 frames to the end of the file are taken. Check that it ends where it should, or export it again.";

    private static readonly string Folder = Path.Join(AppContext.BaseDirectory, "Reference", "audio_files");

    public static TheoryData<string> Exact => [.. Entries().Where(entry => entry.GetProperty("exact").GetBoolean()).Select(Name)
        .Where(name => !name.EndsWith("ogg", StringComparison.Ordinal))];

    [Theory]
    [MemberData(nameof(Exact))]
    public void DecodesToTheSamplesThatAnotherDecoderReads(string name)
    {
        var entry = Entries().Single(entry => Name(entry) == name);
        var channels = entry.GetProperty("channels").GetInt32();

        var samples = Opened.Interleaved(Path.Join(Folder, name), channels);

        Assert.Equal(entry.GetProperty("frames").GetInt32() * channels, samples.Length);
        var expected = entry.GetProperty("first_4_frames").EnumerateArray().SelectMany(frame => frame.EnumerateArray()).Select(sample => sample.GetDouble());
        Assert.Equal(expected, samples.Take(4 * channels));
#pragma warning disable CA5351 // A fingerprint of samples; nothing is kept secret.
        Assert.Equal(entry.GetProperty("md5_of_f64le").GetString(), Convert.ToHexStringLower(MD5.HashData(MemoryMarshal.AsBytes<double>(samples))));
#pragma warning restore CA5351
        var opened = Opened.At(Path.Join(Folder, name), channels: [1]);
        Assert.Equal(entry.GetProperty("rate_hz").GetInt32(), opened.Format!.SampleRateHz);
        if (name == "flac-stream.flac") Assert.Equal(LengthMissing, Assert.Single(opened.Said));
        else Assert.Empty(opened.Said);
    }

    private static List<JsonElement> Entries()
    {
        using var manifest = JsonDocument.Parse(File.ReadAllBytes(Path.Join(Folder, "manifest.json")));
        return [.. manifest.RootElement.GetProperty("files").Clone().EnumerateArray()];
    }

    private static string Name(JsonElement entry) => entry.GetProperty("file").GetString()!;
}
