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
    private const string SixChannels = "RG303: it has 6 channels, but a stem is mono or stereo. Export it as stereo, or each channel or pair as a stem of its own.";

    private static readonly string Folder = Path.Join(AppContext.BaseDirectory, "Reference", "wav_samples");

    public static TheoryData<string> Waves => [.. WaveNames];

    private static IEnumerable<string> WaveNames => Directory.GetFiles(Folder, "*.wav").Select(path => Path.GetFileName(path))
        .Where(name => !name.Contains("6ch", StringComparison.Ordinal)).Order(StringComparer.Ordinal);

    [Theory]
    [MemberData(nameof(Waves))]
    public void DecodesToTheExactSamplesOfTheManifest(string name)
    {
        using var manifest = JsonDocument.Parse(File.ReadAllBytes(Path.Join(Folder, "manifest.json")));
        var entry = manifest.RootElement.GetProperty("files").EnumerateArray().Single(file => file.GetProperty("file").GetString() == name);

        var opened = Opened.At(Path.Join(Folder, name));

        Assert.NotNull(opened.Format);
        Assert.Equal(entry.GetProperty("fs_hz").GetInt32(), opened.Format.SampleRateHz);
        Assert.Equal(entry.GetProperty("channels").GetInt32(), opened.Format.Channels);
        Assert.Equal(entry.GetProperty("frames").GetInt64(), opened.Format.LengthFrames);
        var frame = 0;
        foreach (var expected in entry.GetProperty("first_16_frames").EnumerateArray())
        {
            for (var channel = 0; channel < opened.Format.Channels; channel++)
                Assert.Equal(BitConverter.DoubleToInt64Bits(expected[channel].GetDouble()), BitConverter.DoubleToInt64Bits(opened.Samples[channel][frame]));
            frame++;
        }

        Assert.Equal(16, frame);
        var stored = Stored(entry.GetProperty("decoded_md5_of").GetString()!, opened.Samples);
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
        var inOrder = WaveNames.Where(name => !name.StartsWith("streamed", StringComparison.Ordinal) && !name.StartsWith("truncated", StringComparison.Ordinal)).ToList();

        Assert.True(inOrder.Count > 10);
        Assert.All(inOrder, name => Assert.Empty(Opened.At(Path.Join(Folder, name)).Said));
    }

    [Theory]
    [InlineData("ext-pcm16-6ch.wav", SixChannels)]
    [InlineData("ext-float32-6ch.wav", SixChannels)]
    [InlineData("aiff16-stereo.aiff", "an AIFF file")]
    [InlineData("aiff24-mono.aiff", "an AIFF file")]
    [InlineData("sox-aiff16.aiff", "an AIFF file")]
    [InlineData("aifc-fl32.aifc", "an AIFF-C file")]
    [InlineData("aifc-sowt16.aifc", "an AIFF-C file")]
    [InlineData("ffmpeg-flac16.flac", "a FLAC file")]
    [InlineData("vorbis-stereo.ogg", "an Ogg file")]
    [InlineData("mp3-stereo.mp3", "an MP3 file")]
    [InlineData("w64-16.w64", "a Wave64 file")]
    public void RefusesWhatItDoesNotRead(string name, string expected)
    {
        var opened = Opened.At(Path.Join(Folder, name));

        Assert.Null(opened.Format);
        var sentence = expected == SixChannels
            ? expected
            : $"RG303: by its content it is {expected}; a stem is a WAV, RF64 or BW64 file. Export the part as a WAV file.";
        Assert.Equal(sentence, Assert.Single(opened.Said));
    }

    /// <summary>Back to the raw format whose hash the manifest holds, by plain arithmetic of our own.</summary>
    private static byte[] Stored(string rawFormat, Signal samples)
    {
        using var stream = new MemoryStream();
        using var writer = new BinaryWriter(stream);
        for (var frame = 0; frame < samples.Frames; frame++)
        {
            for (var channel = 0; channel < samples.Channels; channel++)
            {
                var sample = samples[channel][frame];
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
        }

        return stream.ToArray();
    }
}
