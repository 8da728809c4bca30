using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles.Mpeg;

/// <summary>MP3 files that are cut, odd or not what they seem; that they decode in place is held in <see cref="MadeFilesTests"/>.</summary>
public sealed class MpegTests
{
    private static readonly byte[] File = System.IO.File.ReadAllBytes(Path.Join(AppContext.BaseDirectory, "Reference", "audio_files", "mp3-lame.mp3"));

    [Fact]
    public void ACutFileLoadsItsWholeFramesAndSaysWhatIsMissing()
    {
        using var folder = new TempFolder();
        var opened = Opened.At(folder.Put("stem.mp3", File[..2500]));

        Assert.Equal("RG304 warning: it ends early: its header tells of 10 MP3 frames, 5 are there, 0.120 s are missing. Copy or export it again; without the rest, silence follows.", Assert.Single(opened.Said));
        Assert.Equal((5 * 1152) - 1105, opened.Samples.Frames);
    }

    [Fact]
    public void TagsBehindTheSoundDoNoHarmAndSomethingElseInItsMiddleIsRefused()
    {
        using var folder = new TempFolder();
        var whole = Opened.At(folder.Put("stem.mp3", File));
        var tagged = Opened.At(folder.Put("tagged.mp3", [.. File, .. "TAG"u8, .. new byte[125]]));

        Assert.Empty(tagged.Said);
        Assert.Equal(whole.Samples[1].ToArray(), tagged.Samples[1].ToArray());
        Assert.Matches(
            @"^RG304: its sound breaks off at byte \d,\d\d\d \(0\.120 s\): what follows for \d\d,\d\d\d bytes is no MP3 frame of its kind\. Copy or export it again\.$",
            Assert.Single(Opened.At(folder.Put("torn.mp3", [.. File[..(384 * 6)], .. new byte[80_000], .. File[(384 * 6)..]])).Said));
    }

    [Fact]
    public void OtherLayersAreRefusedByName()
    {
        using var folder = new TempFolder();
        byte[] layer2 = [0xFF, 0xFD, 0xA4, 0x04, .. new byte[2000]];
        Assert.Equal("RG303: it is compressed by MPEG layer 2, but of MPEG only layer 3 (MP3) is read. Export the part as a WAV file.", Assert.Single(Opened.At(folder.Put("stem.mp3", layer2)).Said));
    }

    /// <summary>Found by tests/Fuzz (seed 3, input 27832): the decoder's own exception came through.</summary>
    [Fact]
    public void AFrameThatAsksForMoreBitsThanThereAreStopsTheReadingWithASentence()
    {
        using var folder = new TempFolder();
        var bytes = System.IO.File.ReadAllBytes(Path.Join(AppContext.BaseDirectory, "Reference", "audio_files", "mp3-no-header.mp3"));
        (bytes[35], bytes[2694]) = (0x01, 0x0A);
        var failure = Assert.Throws<StemException>(() => Opened.At(folder.Put("stem.mp3", bytes)));
        Assert.Matches(@"RG304: the MP3 frame at byte [\d,]+ \([\d.]+ s\) cannot be decoded\. Copy or export it again\.$", failure.Message);
    }

    [Fact]
    public void AnyPartReadInAnyOrderIsThatPartOfTheWhole()
    {
        using var folder = new TempFolder();
        var path = folder.Put("stem.mp3", File);
        var whole = Opened.At(path).Samples;
        using var reader = new DiskAudioFiles().OpenStem(new(path), (_, _, sentence, _) => Assert.Fail(sentence))!;
        foreach (var start in new[] { 5000, 100, 9000, 0, 8999 })
        {
            var part = Signal.Allocate(2, 600);
            reader.Read(start, part);
            Assert.Equal(whole[0].Slice(start, 600).ToArray(), part[0].ToArray());
        }
    }
}
