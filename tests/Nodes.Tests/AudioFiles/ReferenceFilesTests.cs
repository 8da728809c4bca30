using System.Security.Cryptography;
using System.Text.Json;
using RenderGraph.Graph.Contracts;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles;

/// <summary>
/// Small files of every kind with their exact samples, made and checked by other programs: Reference/wav_samples/manifest.json names
/// for each which program made it and which read it.
/// </summary>
public sealed class ReferenceFilesTests
{
    private const string LengthMissing = "RG304 warning: its length was never filled in, as when a recording breaks off; all 160 frames to the end of the file are taken. Check that it ends where it should, or export it again.";
    private const string SixChannels = "RG307 warning: its 6 channels are mixed down to stereo by ITU-R BS.775: front left and right as they are, centre and surrounds at -3 dB, the low-frequency effects (LFE) left out. To take one or two channels instead, give the stem \"channels\": [1, 2].";

    private static readonly string Folder = Path.Join(AppContext.BaseDirectory, "Reference", "wav_samples");

    public static TheoryData<string> Exact => [.. ExactNames];

    private static IEnumerable<string> ExactNames => Directory.GetFiles(Folder).Select(path => Path.GetFileName(path))
        .Where(name => Path.GetExtension(name) is not (".json" or ".mp3" or ".ogg")).Order(StringComparer.Ordinal);

    [Theory]
    [MemberData(nameof(Exact))]
    public void DecodesToTheExactSamplesOfTheManifest(string name)
    {
        var entry = Entry(name);
        var channels = entry.GetProperty("channels").GetInt32();
        var format = Opened.At(Path.Join(Folder, name), channels: [1]).Format;
        var samples = Opened.Interleaved(Path.Join(Folder, name), channels);

        Assert.Equal(entry.GetProperty("fs_hz").GetInt32(), format!.SampleRateHz);
        Assert.Equal(entry.GetProperty("frames").GetInt64() * channels, samples.Length);
        var expected = entry.GetProperty("first_16_frames").EnumerateArray().SelectMany(frame => frame.EnumerateArray()).Select(sample => sample.GetDouble()).ToList();
        Assert.Equal(16 * channels, expected.Count);
        Assert.Equal(expected.Select(BitConverter.DoubleToInt64Bits), samples.Take(16 * channels).Select(BitConverter.DoubleToInt64Bits));
        var stored = Stored(entry.GetProperty("decoded_md5_of").GetString()!.Split(" (converted")[0], samples);
#pragma warning disable CA5351 // The manifest's own choice; nothing is kept secret.
        Assert.Equal(entry.GetProperty("decoded_md5").GetString(), Convert.ToHexStringLower(MD5.HashData(stored)));
#pragma warning restore CA5351
    }

    [Theory]
    [InlineData("streamed-size-0.wav", LengthMissing)]
    [InlineData("streamed-size-ffffffff.wav", LengthMissing)]
    [InlineData("truncated-data.wav", "RG304 warning: it ends early: its header tells of 2,160 frames, 160 are there, 2,000 (0.042 s) are missing. Copy or export it again; without the rest, silence follows.")]
    public void SaysWhatIsOddAboutAFile(string name, string expected)
        => Assert.Equal(expected, Assert.Single(Opened.At(Path.Join(Folder, name)).Said));

    [Fact]
    public void SaysNothingAboutAFileThatIsInOrder()
    {
        var inOrder = ExactNames.Where(name => !name.Contains("6ch", StringComparison.Ordinal) && !name.StartsWith("streamed", StringComparison.Ordinal) && !name.StartsWith("truncated", StringComparison.Ordinal)).ToList();

        Assert.True(inOrder.Count > 10);
        Assert.All(inOrder, name => Assert.Empty(Opened.At(Path.Join(Folder, name)).Said));
    }

    /// <summary>
    /// ffmpeg's decode, which for Vorbis is 128 frames short: then as many as libsndfile gives, which were encoded. Tolerances are ours: a
    /// hundred-thousandth for a sample, between decoders that work in single precision; for the level what the manifest's own decoder gives.
    /// </summary>
    [Theory]
    [InlineData("vorbis-stereo.ogg", "Ogg Vorbis")]
    [InlineData("mp3-stereo.mp3", "MP3")]
    public void DecodesLossyFilesInPlaceAndToTheSameSound(string name, string encoding)
    {
        var entry = Entry(name);
        var opened = Opened.At(Path.Join(Folder, name));

        Assert.Empty(opened.Said);
        Assert.Equal(encoding, opened.Format!.Encoding);
        Assert.Equal(entry.GetProperty("encoded_frames").GetInt64(), opened.Format.LengthFrames);
        for (var channel = 0; channel < 2; channel++)
        {
            var frame = 0;
            foreach (var expected in entry.GetProperty("first_16_frames").EnumerateArray())
                Assert.Equal(expected[channel].GetDouble(), opened.Samples[channel][frame++], 1e-5);
            var third = opened.Samples[channel].Slice(4800, 4800).ToArray();
            Assert.Equal(entry.GetProperty("middle_third_rms")[channel].GetDouble(), Math.Sqrt(third.Average(sample => sample * sample)), 1e-4);
        }
    }

    [Theory]
    [InlineData("ext-pcm16-6ch.wav")]
    [InlineData("ext-float32-6ch.wav")]
    public void MixesSixChannelsDownByTheStandardAndSaysSo(string name)
    {
        var opened = Opened.At(Path.Join(Folder, name));
        var six = Opened.Interleaved(Path.Join(Folder, name), 6);

        Assert.Equal(SixChannels, Assert.Single(opened.Said));
        Assert.Equal(2, opened.Format!.Channels);
        for (var frame = 0; frame < 160; frame++)
        {
            // ITU-R BS.775: L + 0.7071 C + 0.7071 Ls; channels are FL FR FC LFE BL BR.
            var (at, surround) = (frame * 6, 0.70710678118654757);
            Assert.Equal(six[at] + (surround * six[at + 2]) + (surround * six[at + 4]), opened.Samples[0][frame], 1e-15);
            Assert.Equal(six[at + 1] + (surround * six[at + 2]) + (surround * six[at + 5]), opened.Samples[1][frame], 1e-15);
        }
    }

    [Fact]
    public void TellsWhereARecordingWasMade()
        => Assert.Equal(172801234, Opened.At(Path.Join(Folder, "bwf-timeref.wav")).Format!.TimeReferenceFrames);

    private static JsonElement Entry(string name)
    {
        using var manifest = JsonDocument.Parse(File.ReadAllBytes(Path.Join(Folder, "manifest.json")));
        return manifest.RootElement.GetProperty("files").EnumerateArray().Single(file => file.GetProperty("file").GetString() == name).Clone();
    }

    /// <summary>Back to the raw format whose hash the manifest holds, by plain arithmetic of our own.</summary>
    private static byte[] Stored(string rawFormat, double[] samples)
    {
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        foreach (var sample in samples)
        {
            switch (rawFormat)
            {
                case "unsigned 8-bit": writer.Write((byte)((sample * 128) + 128)); break;
                case "s16le": writer.Write((short)(sample * 32768)); break;
                case "s24le (packed)": writer.Write(BitConverter.GetBytes((int)(sample * 8388608)).AsSpan(0, 3)); break;
                case "s32le": writer.Write((int)(sample * 2147483648)); break;
                case "f32le": writer.Write((float)sample); break;
                case "f64le": writer.Write(sample); break;
                default: throw new InvalidOperationException(rawFormat);
            }
            }

        return stream.ToArray();
    }
}
