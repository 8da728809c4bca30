using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using Xunit;
using static RenderGraph.Nodes.Tests.AudioFiles.Wave.WaveBytes;

namespace RenderGraph.Nodes.Tests.AudioFiles.Wave;

/// <summary>A gallery of files that cannot be a stem, each with the complete sentence it gets.</summary>
public sealed class RefusedFilesTests
{
    private const string Again = "Export it again.";
    private const string Kinds = "WAV, AIFF, FLAC, Ogg Vorbis or MP3 file. Export the part as a WAV file.";
    private const string As24Bit = "Export it again as 24-bit WAV.";

    private static readonly byte[] AmbisonicGuid = [1, 0, 0, 0, 0x21, 7, 0xD3, 0x11, 0x86, 0x44, 0xC8, 0xC1, 0xCA, 0, 0, 0];

    public static TheoryData<string, byte[]> Broken => new()
    {
        { "RG303: by its content it is a text file; a stem is a " + Kinds, Encoding.UTF8.GetBytes("stems: [\"kïck.wav\"]\n") },
        { "RG303: by its content it is a text file; a stem is a " + Kinds, Encoding.Unicode.GetPreamble() },
        { "RG303: by its content it is a MIDI file: notes, not sound; a stem is a " + Kinds, [.. "MThd"u8, 0, 0, 0, 6] },
        { "RG304: no two frames of MP3 follow each other in it. " + Again, [0xFF, 0xFB, 0x90, 0, 0, 0] },
        { "RG303: by its content it is an AAC stream; a stem is a " + Kinds, [0xFF, 0xF1, 0x50, 0x80, 0, 0] },
        { "RG303: by its content it is an MP4 file; a stem is a " + Kinds, [0, 0, 0, 32, .. "ftypM4A "u8] },
        { "RG303: by its content it is an IFF file of kind \"8SVX\", not AIFF; a stem is a " + Kinds, File([Format()], "FORM", kind: "8SVX") },
        { "RG303: by its content it is a RIFF file of kind \"AVI \", not WAVE; a stem is a " + Kinds, File([Format()], kind: "AVI ") },
        { "RG303: by its content it is nothing but zeros, as a failed copy leaves; a stem is a " + Kinds, new byte[5000] },
        { "RG303: its content is of no known kind; a stem is a " + Kinds, [1, 2, 3] },
        { "RG303: its content is of no known kind; a stem is a " + Kinds, [.. "RIFF"u8, 4, 0, 0, 0] },
        { "RG304: it has no fmt chunk, which tells how samples are stored. " + Again, File([Data(1, 2)]) },
        { "RG304: it has no fmt chunk, which tells how samples are stored. " + Again, File([]) },
        { "RG304: it has no data chunk, which holds the sound. " + Again, File([Format(), Chunk("LIST", [1, 2])]) },
        { "RG304: it has no data chunk, which holds the sound: chunk \"LIST\" at byte 36 claims 9,000 bytes, but the file ends 12 bytes on. " + Again, File([Format(), Chunk("LIST", [1, 2], 9000), Data(1)]) },
        { "RG304: it has no data chunk, which holds the sound: where a chunk should begin, at byte 36, there is none. " + Again, File([Format(), new byte[64], Data(1)]) },
        { "RG304: it has no data chunk, which holds the sound: after 4,096 chunks the search ended. " + Again, File([Format(), .. Enumerable.Repeat(Chunk("JUNK", []), 5000), Data(1)]) },
        { "RG304: it has two fmt chunks, and they may not agree. " + Again, File([Format(), Format(), Data(1)]) },
        { "RG304: it has two data chunks, and nobody can tell which is the sound. " + Again, File([Format(), Data(1), Data(1)]) },
        { "RG304: its fmt chunk has 14 bytes, but the kind of samples is told in at least 16. " + Again, File([Chunk("fmt ", new byte[14]), Data(1)]) },
        { "RG304: its extensible fmt chunk has 18 bytes, but must have 40. " + Again, File([Format(tag: 0xFFFE, more: [0, 0]), Data(1)]) },
        { "RG304: its header says that it has no channels. " + Again, File([Format(channels: 0), Data(1)]) },
        { "RG304: its header contradicts itself: 2 channels of 16 bits make 4 bytes a frame, but it says 2. " + Again, File([Format(channels: 2, bytesPerFrame: 2), Data(1)]) },
        { "RG304: its header contradicts itself: 1 channel of 24 bits make 3 bytes a frame, but it says 4. " + Again, File([Format(bits: 24, bytesPerFrame: 4), Data(1)]) },
        { "RG304: its header contradicts itself: 1 channel of 16 bits make 2 bytes a frame, but it says 0. " + Again, File([Format(bytesPerFrame: 0), Data(1)]) },
        { "RG304: its samples are 0-bit PCM, but must have 1 to 32 bits. " + As24Bit, File([Format(bits: 0), Data(1)]) },
        { "RG303: its samples are 64-bit PCM, but must have 1 to 32 bits. " + As24Bit, File([Format(bits: 64), Data(1)]) },
        { "RG303: its samples are 16-bit floating point, but must have 32 or 64 bits. " + As24Bit, File([Format(tag: 3), Data(1)]) },
        { "RG303: its samples are 16-bit A-law, but must have 8 bits. " + As24Bit, File([Format(tag: 6, bits: 16), Data(1)]) },
        { "RG303: its samples are compressed by ADPCM (tag 0x0011), but must be PCM, floating point, A-law or mu-law. " + As24Bit, File([Format(tag: 0x11, bits: 4), Data(1)]) },
        { "RG303: its samples are compressed by MP3 (tag 0x0055), but must be PCM, floating point, A-law or mu-law. " + As24Bit, File([Format(tag: 0x55, bits: 0), Data(1)]) },
        { "RG303: its samples are 16-bit mu-law, but must have 8 bits. " + As24Bit, File([Extensible(tag: 7), Data(1)]) },
        { "RG303: its samples are of an unknown kind (tag 0x1234), but must be PCM, floating point, A-law or mu-law. " + As24Bit, File([Format(tag: 0x1234), Data(1)]) },
        { "RG303: its samples are of an unregistered kind (00000001-0721-11d3-8644-c8c1ca000000), but must be PCM, floating point, A-law or mu-law. " + As24Bit, File([Extensible(guid: AmbisonicGuid), Data(1)]) },
        { "RG307: it has 3 channels, and does not say what they are for. Give the stem \"channels\": [1, 2], or those that you want; one makes it mono.", File([Format(channels: 3), Data(1, 2, 3)]) },
        { "RG303: it has 33 channels, but 32 are the most that can be read. Export the channels that you need as stems of their own.", File([Format(channels: 33), Data(1, 2, 3)]) },
        { "RG303: its sample rate is 7,999 Hz, but must lie between 8,000 and 384,000. Export it again at the song's rate.", File([Format(rateHz: 7999), Data(1)]) },
        { "RG303: its sample rate is 4,294,967,295 Hz, but must lie between 8,000 and 384,000. Export it again at the song's rate.", File([Format(rateHz: uint.MaxValue), Data(1)]) },
        { "RG304: it holds no sound, not even one frame. Export it again, or take the stem out of the graph.", File([Format(), Chunk("data", []), Chunk("LIST", [1, 2])]) },
        { "RG304: it holds no sound, not even one frame. Export it again, or take the stem out of the graph.", File([Format(), Chunk("data", [], 4000)]) },
        { "RG304: it holds no sound, not even one frame. Export it again, or take the stem out of the graph.", File([Format(), Chunk("data", [], 0)], size: 0) },
    };

    [Theory]
    [MemberData(nameof(Broken))]
    public void IsRefusedWithOneSentenceAndARemedy(string expected, byte[] file)
    {
        using var folder = new TempFolder();
        var opened = Opened.At(folder.Put("stem.wav", file));

        Assert.Equal(expected, string.Join('\n', opened.Said));
        Assert.Null(opened.Format);
    }

    [Fact]
    public void WhatIsNoFileIsRefusedWithoutWaiting()
    {
        using var folder = new TempFolder();
        folder.Put("empty.wav", []);
        folder.Put("kick.wav", [1]);

        Assert.Equal("RG302: it is a folder, but a stem is a file. Name the file in it.", Said(folder.FullName));
        Assert.Equal("RG303: it is empty, or no ordinary file (a device or a pipe). Export the part as a WAV file.", Said(folder["empty.wav"]));
        Assert.Equal("RG301: there is no such file. The nearest name there is \"kick.wav\".", Said(folder["Kick.WAV"]));
        Assert.Equal("RG301: there is no such file. Check its name and folder.", Said(folder["something else"]));
        Assert.Equal("RG301: there is no such file. Not even its folder is there: check the path.", Said(Path.Join(folder.FullName, "stems", "kick.wav")));
        Assert.Equal("RG301: there is no such file. Check its name and folder.", Said(folder["\0"]));
    }

    [Fact]
    public void ADeviceIsRefusedEvenBehindALink()
    {
        if (OperatingSystem.IsWindows()) return;
        using var folder = new TempFolder();
        System.IO.File.CreateSymbolicLink(folder["kick.wav"], "/dev/zero");
        System.IO.File.CreateSymbolicLink(folder["lost.wav"], folder["nowhere.wav"]);

        Assert.Equal("RG303: it is empty, or no ordinary file (a device or a pipe). Export the part as a WAV file.", Said(folder["kick.wav"]));
        Assert.Equal("RG301: it is a link to a file that is not there. Correct the link, or name the file itself.", Said(folder["lost.wav"]));
    }

    [Fact]
    public void EveryCutOfAFileIsLoadedWithAWarningOrRefused()
    {
        using var folder = new TempFolder();
        var whole = File([Chunk("bext", new byte[603]), Extensible(channels: 2, bits: 24, validBits: 24), Chunk("data", new byte[60])]);
        for (var length = 1; length < whole.Length; length++)
        {
            var opened = Opened.At(folder.Put("stem.wav", whole[..length]));
            Assert.Single(opened.Said);
        }
    }

    /// <summary>1,000 files with random bytes in their headers: no exception, and nothing longer than the file.</summary>
    [Fact]
    public void NoHeaderMakesItFailOrBelieveMoreThanTheFileHolds()
    {
        using var folder = new TempFolder();
        var random = new Random(11);
        var seeds = new[]
        {
            File([Chunk("JUNK", [1, 2, 3]), Format(channels: 2), Data(1, 2, 3, 4), Chunk("LIST", [1])]),
            File([WideSizes(98, 8, 2, ("axml", 2)), Chunk("axml", [1, 2], uint.MaxValue), Extensible(), Data(1, 2, 3, 4)], "RF64", uint.MaxValue),
        };
        var loaded = 0;
        for (var run = 0; run < 1_000; run++)
        {
            var file = (byte[])seeds[run % 2].Clone();
            for (var change = random.Next(1, 4); change > 0; change--)
                file[random.Next(file.Length)] = random.Next(3) switch { 0 => 0, 1 => 255, _ => (byte)random.Next(256) };
            var said = 0;
            using var reader = new DiskAudioFiles().OpenStem(new(folder.Put("stem.wav", file)), (_, _, _, _) => said++);
            if (reader is null)
            {
                Assert.Equal(1, said);
                continue;
            }

            loaded++;
            Assert.InRange(reader.Format.LengthFrames, 1, file.Length);
            reader.Read(0, Signal.Allocate(reader.Format.Channels, (int)reader.Format.LengthFrames));
        }

        Assert.InRange(loaded, 100, 900);
    }

    private static string Said(string path) => string.Join('\n', Opened.At(path).Said);
}
