using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.AudioFiles.Flac;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles.Flac;

/// <summary>The decoder of RFC 9639 on files of the reference encoder; that every one decodes to its exact samples is held in <see cref="MadeFilesTests"/>.</summary>
public sealed class FlacTests
{
    private static readonly string Folder = Path.Join(AppContext.BaseDirectory, "Reference", "audio_files");

    /// <summary>The check values of CRC-8 (SMBUS) and CRC-16 (UMTS), which are these polynomials: from the catalogue of parametrised CRC algorithms, from memory.</summary>
    [Fact]
    public void ChecksumsGiveTheirPublishedCheckValues()
    {
        Assert.Equal(0xF4, Crc.Of8("123456789"u8));
        Assert.Equal(0xFEE8, Crc.Of16("123456789"u8, 0));
        Assert.Equal(Crc.Of16("123456789123456789"u8, 0), Crc.Of16("23456789"u8, Crc.Of16("1234567891"u8, 0)));
    }

    [Theory]
    [InlineData("flac-seekable.flac", 12000)]
    [InlineData("flac-blocks-16.flac", 500)]
    [InlineData("flac-blocks-65535.flac", 9000)]
    [InlineData("flac-stream.flac", 3000)]
    public void AnyPartReadInAnyOrderIsThatPartOfTheWhole(string name, int frames)
    {
        var whole = Opened.At(Path.Join(Folder, name)).Samples;
        var random = new Random(3);
        using var reader = Open(Path.Join(Folder, name));
        for (var i = 0; i < 100; i++)
        {
            var start = random.Next(-50, frames + 50);
            var part = Signal.Allocate(whole.Channels, random.Next(1, 700));
            reader.Read(start, part);
            for (var frame = 0; frame < part.Frames; frame++)
            {
                var at = start + frame;
                for (var channel = 0; channel < whole.Channels; channel++)
                    Assert.Equal(at >= 0 && at < frames ? whole[channel][at] : 0, part[channel][frame]);
            }
        }
    }

    [Fact]
    public void ThreadsThatTakeBlocksInAnyOrderGetTheSameSamples()
    {
        var path = Path.Join(Folder, "flac-seekable.flac");
        var whole = Opened.At(path).Samples;
        using var reader = Open(path);
        Parallel.For(0, 48, new ParallelOptions { MaxDegreeOfParallelism = 8 }, block =>
        {
            var part = Signal.Allocate(1, 250);
            reader.Read(block * 250, part);
            Assert.Equal(whole[0].Slice(block * 250, 250).ToArray(), part[0].ToArray());
        });
    }

    /// <summary>A long file, so that a jump is a real one: 240,000 frames of noise, which FLAC cannot make smaller.</summary>
    [Fact]
    public void AJumpLandsOnTheSameSamplesWithoutASeekTableAndWithOneThatLies()
    {
        using var folder = new TempFolder();
        var random = new Random(5);
        var samples = Enumerable.Range(0, 60 * 4096).Select(_ => (short)random.Next(-32768, 32768)).ToArray();
        foreach (var points in new[] { Array.Empty<(long Frame, long Offset)>(), [(40 * 4096, 77), (50 * 4096, 41 * 8210L), (20 * 4096, long.MaxValue - 3)] })
        {
            using var reader = Open(folder.Put("noise.flac", VerbatimFlac.File(samples, points)));
            foreach (var start in new[] { 55 * 4096, 3, 30 * 4096 + 17, 51 * 4096, 59 * 4096 + 4000, 100_000 })
            {
                var part = Signal.Allocate(1, 96);
                reader.Read(start, part);
                Assert.Equal(samples.Skip(start).Take(96).Select(sample => sample / 32768.0), part[0].ToArray());
            }
        }
    }

    [Fact]
    public void NoChangedByteGoesUnnoticed()
    {
        using var folder = new TempFolder();
        var file = File.ReadAllBytes(Path.Join(Folder, "flac-blocks-16.flac"));
        var original = Opened.At(Path.Join(Folder, "flac-blocks-16.flac")).Samples;
        var unnoticed = 0;
        for (var i = 0; i < file.Length; i++)
        {
            foreach (var change in new byte[] { 1, 0x80, 0xFF })
            {
                file[i] ^= change;
                var opened = Try(folder.Put("stem.flac", file), out var isNoticed);
                file[i] ^= change;
                if (isNoticed) continue;
                unnoticed++;
                Assert.Equal(original[0].ToArray(), opened!.Samples[0].ToArray());
                Assert.Equal(original[1].ToArray(), opened.Samples[1].ToArray());
            }
        }

        // What does not matter: the smallest block, the smallest and largest size, the comment.
        Assert.InRange(unnoticed, 1, 3 * 100);
    }

    [Fact]
    public void ACutFileLoadsItsWholeBlocksAndSaysWhatIsMissing()
    {
        using var folder = new TempFolder();
        var file = File.ReadAllBytes(Path.Join(Folder, "flac-16.flac"));
        var two = Try(folder.Put("stem.flac", File.ReadAllBytes(Path.Join(Folder, "flac-blocks-16.flac"))[..1000]), out _)!;
        Assert.Matches(@"^RG304 warning: it ends early: its header tells of 500 frames, \d+ are there, \d+ \(0\.\d\d\d s\) are missing\. Copy or export it again; without the rest, silence follows\.$", Assert.Single(two.Said));
        Assert.Equal(0, two.Samples.Frames % 16);

        Assert.Equal("RG304: it holds no sound, not even one whole block. Export it again, or take the stem out of the graph.", Assert.Single(Try(folder.Put("stem.flac", file[..4000]), out _)!.Said));
        Assert.Equal("RG304: its header does not end: block 1 claims 34 bytes, but the file ends 22 bytes on. Export it again.", Assert.Single(Try(folder.Put("stem.flac", file[..30]), out _)!.Said));
        Assert.Equal("RG304: its header does not end: after 0 blocks of metadata no sound has come. Export it again.", Assert.Single(Try(folder.Put("stem.flac", file[..6]), out _)!.Said));
    }

    [Fact]
    public void DamageInTheMiddleStopsThereAndNamesThePlace()
    {
        using var folder = new TempFolder();
        var file = File.ReadAllBytes(Path.Join(Folder, "flac-seekable.flac"));
        file[file.Length / 2] ^= 4;
        var failure = Assert.Throws<StemException>(() => Opened.At(folder.Put("stem.flac", file)));

        Assert.Equal(DiagnosticCode.StemDamaged, failure.Code);
        Assert.Matches(@"^the block of sound at frame \d,\d\d\d \(0\.\d\d\d s\) (does not match its checksum \(CRC-16\)|cannot be decoded)$", failure.Sentence);
    }

    [Fact]
    public void AWrongFingerprintOfTheWholeIsToldAtTheEnd()
    {
        using var folder = new TempFolder();
        var file = File.ReadAllBytes(Path.Join(Folder, "flac-16.flac"));
        file[8 + 18] ^= 1; // in STREAMINFO, the first byte of the MD5
        var failure = Assert.Throws<StemException>(() => Opened.At(folder.Put("stem.flac", file)));

        Assert.Equal("every block of sound is in order, but together they are not what was encoded: the MD5 of the samples is not the one in the header", failure.Sentence);
    }

    private static Opened? Try(string path, out bool isNoticed)
    {
        try
        {
            var opened = Opened.At(path);
            isNoticed = opened.Said.Count > 0;
            return opened;
        }
        catch (StemException)
        {
            isNoticed = true;
            return null;
        }
    }

    private static IStemReader Open(string path) => new DiskAudioFiles().OpenStem(new(path), (_, severity, sentence, _) => Assert.True(severity == Severity.Warning, sentence))!;
}
