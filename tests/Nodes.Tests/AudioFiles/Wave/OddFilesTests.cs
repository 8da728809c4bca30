using RenderGraph.Graph.Contracts;
using Xunit;
using static RenderGraph.Nodes.Tests.AudioFiles.Wave.WaveBytes;

namespace RenderGraph.Nodes.Tests.AudioFiles.Wave;

/// <summary>Files that are odd and legal, or odd and harmless: each loads with the samples written down here, and with the warning if there is one.</summary>
public sealed class OddFilesTests
{
    private const string LengthMissing = "RG304 warning: its length was never filled in, as when a recording breaks off; all 3 frames to the end of the file are taken. Check that it ends where it should, or export it again.";
    private static readonly double[] Three = [0.5, -1, 1 / 32768.0];
    private static readonly byte[] ThreeStored = SampleBytes(16384, -32768, 1);

    [Fact]
    public void ChunksMayComeInAnyOrderAndBeOfOddSizeWithTheirPadByteOrWithout()
    {
        AssertLoads(Three, "", File([Chunk("junk", [1, 2, 3]), Data(16384, -32768, 1), Chunk("LIST", [9]), Format()]));
        AssertLoads(Three, "", File([Chunk("junk", [1, 2, 3], pad: false), Format(), Data(16384, -32768, 1)]));
        AssertLoads([0.5], "", File([Format(bits: 8), Chunk("data", [192], pad: false), Chunk("LIST", [9, 9])]));
        AssertLoads([0.5], "", File([Format(bits: 8), Chunk("data", [192])]));
    }

    [Fact]
    public void AnOverlongFormatLoads()
        => AssertLoads(Three, "", File([Format(more: new byte[100]), Data(16384, -32768, 1)]));

    [Fact]
    public void ValidBitsStandAtTheTopOfTheirBytes()
    {
        AssertLoads([-0.5, 0.25], "", File([Format(bits: 20), Chunk("data", [0, 0, 0xC0, 0, 0, 0x20])]), "20-bit PCM");
        AssertLoads([-0.5, 0.25], "", File([Format(bits: 12), Chunk("data", [0, 0xC0, 0, 0x20])]), "12-bit PCM");
        AssertLoads([-0.5, 0.25], "", File([Extensible(bits: 24, validBits: 20), Chunk("data", [0, 0, 0xC0, 0, 0, 0x20])]), "20-bit PCM in 24 bits");
        AssertLoads([-0.5, 0.25], "", File([Extensible(bits: 32, validBits: 24), Chunk("data", [0, 0, 0, 0xC0, 0, 0, 0, 0x20])]), "24-bit PCM in 32 bits");
        AssertLoads(Three, "", File([Extensible(validBits: 0), Data(16384, -32768, 1)]), "16-bit PCM");
        AssertLoads(
            Three, "RG304 warning: its header says that 24 of 16 bits are used; all 16 are read. Nothing need be done if it sounds right.",
            File([Extensible(validBits: 24), Data(16384, -32768, 1)]), "16-bit PCM");
    }

    [Fact]
    public void FloatsLoadAsTheyAreWithOverRangeAndTheSmallest()
    {
        double[] singles = [2.5, -1e-40f, float.MaxValue];
        AssertLoads(singles, "", File([Format(tag: 3, bits: 32), Chunk("data", [.. singles.SelectMany(x => BitConverter.GetBytes((float)x))])]), "32-bit float");
        AssertLoads(singles, "", File([Extensible(tag: 3, bits: 32, validBits: 32), Chunk("data", [.. singles.SelectMany(x => BitConverter.GetBytes((float)x))])]), "32-bit float");
        double[] doubles = [-2.5, 5e-324, 1 / 3.0, 1e300];
        AssertLoads(doubles, "", File([Format(tag: 3, bits: 64), Chunk("data", [.. doubles.SelectMany(BitConverter.GetBytes)])]), "64-bit float");
    }

    [Fact]
    public void ALengthThatWasNeverFilledInMeansTheRestOfTheFile()
    {
        foreach (var size in new uint[] { 0, 0xFFFFFFFF, 0x7FFFFFFF, 0x7FFFF000 })
            AssertLoads(Three, LengthMissing, File([Format(), Chunk("data", ThreeStored, size)], size: size));
    }

    [Fact]
    public void ACutFileLoadsItsWholeFramesAndSaysWhatIsMissing()
    {
        var whole = File([Format(channels: 2), Data([.. Enumerable.Range(0, 96000).Select(_ => (short)8192)])]);

        AssertLoads(
            [0.25], "RG304 warning: it ends early: its header tells of 48,000 frames, 1 are there, 47,999 (1.000 s) are missing. Copy or export it again; without the rest, silence follows.",
            whole[..(44 + 4 + 3)]);
    }

    [Fact]
    public void SoundThatEndsInsideAFrameLosesTheRestOfIt()
        => AssertLoads(
            [0.5], "RG304 warning: its sound ends inside a frame: the last 2 of 6 bytes are left out. Export it again if it does not end as it should.",
            File([Format(channels: 2), Data(16384, -32768, 1)]));

    [Fact]
    public void AWrongSizeInTheHeaderIsToldAndDoesNoHarm()
    {
        AssertLoads(
            Three, "RG304 warning: its header speaks of 1,008 bytes, but the file has 50; all its sound is there. Nothing need be done if it sounds right.",
            File([Format(), Data(16384, -32768, 1)], size: 1000));
        AssertLoads(
            Three, "RG304 warning: its header speaks of 50 bytes, but the file has 178; all its sound is there. Nothing need be done if it sounds right.",
            [.. File([Format(), Data(16384, -32768, 1)]), .. new byte[128]]);
    }

    /// <summary>Layout by EBU Tech 3306 and ITU-R BS.2088.</summary>
    [Theory]
    [InlineData("RF64")]
    [InlineData("BW64")]
    public void WideSizesCountForDataAndForChunksOfTheTable(string riff)
    {
        var chunks = new[]
        {
            WideSizes(36 + 24 + 10 + 14 + 4 + 12, 6, 3, ("axml", 2)), Chunk("axml", [1, 2], uint.MaxValue), Format(), Chunk("data", ThreeStored, uint.MaxValue),
        };

        AssertLoads(Three, "", File(chunks, riff, uint.MaxValue));
    }

    [Fact]
    public void WithoutWideSizesThe32BitOnesCount()
    {
        AssertLoads(Three, "", File([Format(), Data(16384, -32768, 1)], "RF64"));
        AssertLoads(Three, LengthMissing, File([Format(), Chunk("data", ThreeStored, uint.MaxValue)], "RF64", uint.MaxValue));
    }

    [Fact]
    public void WideSizesPastTheFileOnlyMeanThatItEndsEarly()
        => AssertLoads(
            Three, "RG304 warning: its length was never filled in, as when a recording breaks off; all 3 frames to the end of the file are taken. Check that it ends where it should, or export it again.",
            File([WideSizes(ulong.MaxValue, ulong.MaxValue, ulong.MaxValue), Format(), Chunk("data", ThreeStored, uint.MaxValue)], "RF64", uint.MaxValue));

    [Fact]
    public void TheGainIsAppliedAfterExactDecoding()
    {
        using var folder = new TempFolder();
        var path = folder.Put("stem.wav", File([Format(), Data(16384, -32768, 1, 77, -5)]));

        var plain = Opened.At(path).Samples[0].ToArray();
        var louder = Opened.At(path, gainDb: 20).Samples[0].ToArray();

        Assert.Equal(plain.Select(sample => sample * 10), louder, (a, b) => Math.Abs(a - b) <= 1e-14 * Math.Abs(a));
    }

    private static void AssertLoads(double[] expected, string warning, byte[] file, string? encoding = null)
    {
        using var folder = new TempFolder();
        var opened = Opened.At(folder.Put("stem.wav", file));

        Assert.Equal(warning, string.Join('\n', opened.Said));
        Assert.NotNull(opened.Format);
        Assert.Equal(expected.Length, opened.Format.LengthFrames);
        Assert.Equal(expected, opened.Samples[0].ToArray());
        if (encoding is not null) Assert.Equal(encoding, opened.Format.Encoding);
    }
}
