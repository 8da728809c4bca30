using System.Buffers.Binary;
using System.Text;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles.Aiff;

/// <summary>AIFF and AIFF-C put together by hand, chunk by chunk; what other programs write is in <see cref="MadeFilesTests"/>.</summary>
public sealed class AiffTests
{
    private const string NoSound = "RG304: it holds no sound, not even one frame. Export it again, or take the stem out of the graph.";

    /// <summary>48,000 as an 80-bit number, as every AIFF file of that rate has it.</summary>
    private static readonly byte[] Rate48000 = [0x40, 0x0E, 0xBB, 0x80, 0, 0, 0, 0, 0, 0];

    private static readonly byte[] Three = [0x40, 0x00, 0x80, 0x00, 0x00, 0x01];

    private static readonly double[] ThreeSamples = [0.5, -1, 1 / 32768.0];

    [Fact]
    public void ChunksMayComeInAnyOrderAndTheSoundMayBeginLater()
    {
        AssertLoads(ThreeSamples, "", Form([Common(3), Sound(Three)]));
        AssertLoads(ThreeSamples, "", Form([Chunk("NAME", [65]), Sound([9, 9, .. Three], skip: 2), Common(3)]));
        AssertLoads(ThreeSamples, "", Form([Common(3), Chunk("MARK", [0, 0]), Sound(Three), Chunk("AUTH", [65, 66, 67])]));
    }

    [Fact]
    public void ValidBitsStandAtTheTopOfTheirBytes()
    {
        AssertLoads([-0.5, 0.25], "", Form([Common(2, bits: 20), Sound([0xC0, 0, 0, 0x20, 0, 0])]), "20-bit PCM");
        AssertLoads([-0.5, 0.25], "", Form([Common(2, bits: 5), Sound([0xC0, 0x20])]), "5-bit PCM");
    }

    [Fact]
    public void WhatIsOddIsLoadedAndToldOf()
    {
        AssertLoads(
            ThreeSamples, "RG304 warning: it ends early: its header tells of 48,003 frames, 3 are there, 48,000 (1.000 s) are missing. Copy or export it again; without the rest, silence follows.",
            Form([Common(48003), Sound(Three)]));
        AssertLoads(
            [0.5, -1], "RG304 warning: its header tells of 2 frames, but 3 are there; the first 2 are taken. Export it again if it does not end as it should.",
            Form([Common(2), Sound(Three)]));
        const string never = "RG304 warning: its length was never filled in, as when a recording breaks off; all 3 frames to the end of the file are taken. Check that it ends where it should, or export it again.";
        AssertLoads(ThreeSamples, never, Form([Common(0), Sound(Three, size: 0)], size: 0));
        AssertLoads(ThreeSamples, never, Form([Common(0), Sound(Three)]));
        AssertLoads(ThreeSamples, "RG304 warning: its header speaks of 1,008 bytes, but the file has 60; all its sound is there. Nothing need be done if it sounds right.", Form([Common(3), Sound(Three)], size: 1000));
    }

    [Theory]
    [InlineData("RG304: it has no COMM chunk, which tells how samples are stored. Export it again.", "sound")]
    [InlineData("RG304: it has no SSND chunk, which holds the sound. Export it again.", "common")]
    [InlineData("RG304: it has two COMM chunks, and they may not agree. Export it again.", "common common sound")]
    [InlineData("RG304: it has two SSND chunks, and nobody can tell which is the sound. Export it again.", "common sound sound")]
    public void ChunksThatAreMissingOrDoubleAreRefused(string expected, string chunks)
        => AssertRefused(expected, Form([.. chunks.Split(' ').Select(name => name == "common" ? Common(3) : Sound(Three))]));

    [Fact]
    public void WhatCannotBeReadIsRefused()
    {
        AssertRefused(NoSound, Form([Common(0)]));
        AssertRefused(NoSound, Form([Common(3), Chunk("SSND", [0, 0])]));
        AssertRefused(NoSound, Form([Common(3), Sound(Three, skip: uint.MaxValue)]));
        AssertRefused("RG304: its COMM chunk has 10 bytes, but must have 18. Export it again.", Form([Chunk("COMM", new byte[10])]));
        AssertRefused("RG304: its header says that it has no channels. Export it again.", Form([Common(3, channels: 0), Sound(Three)]));
        AssertRefused("RG303: its samples are 33-bit PCM, but must have 1 to 32 bits. Export it again as 24-bit WAV.", Form([Common(3, bits: 33), Sound(Three)]));
        AssertRefused("RG303: its sample rate is no whole number of Hz. Export it again at the song's rate.", Form([Common(3, rate: [0x40, 0x0E, 0xBB, 0x80, 0x80, 0, 0, 0, 0, 0]), Sound(Three)]));
        AssertRefused("RG303: its sample rate is 0 Hz, but must lie between 8,000 and 384,000. Export it again at the song's rate.", Form([Common(3, rate: new byte[10]), Sound(Three)]));
        AssertRefused("RG303: its sample rate is 9,223,372,036,854,775,807 Hz, but must lie between 8,000 and 384,000. Export it again at the song's rate.", Form([Common(3, rate: [0x7F, 0xFF, 0x80, 0, 0, 0, 0, 0, 0, 0]), Sound(Three)]));
        AssertRefused(
            "RG303: its samples are compressed or unknown (AIFF-C type \"ima4\"), but must be PCM, floating point, A-law or mu-law. Export it again as 24-bit WAV.",
            Form([Chunk("COMM", [.. Common(3)[8..], .. "ima4"u8, 0, 0]), Sound(Three)], kind: "AIFC"));
    }

    private static void AssertLoads(double[] expected, string warning, byte[] file, string? encoding = null)
    {
        using var folder = new TempFolder();
        var opened = Opened.At(folder.Put("stem.aiff", file));

        Assert.Equal(warning, string.Join('\n', opened.Said));
        Assert.Equal(expected, opened.Samples[0].ToArray());
        if (encoding is not null) Assert.Equal(encoding, opened.Format!.Encoding);
    }

    private static void AssertRefused(string expected, byte[] file)
    {
        using var folder = new TempFolder();
        var opened = Opened.At(folder.Put("stem.aiff", file));

        Assert.Equal(expected, string.Join('\n', opened.Said));
        Assert.Null(opened.Format);
    }

    private static byte[] Form(byte[][] chunks, string kind = "AIFF", uint? size = null)
    {
        var body = chunks.SelectMany(chunk => chunk).ToArray();
        return [.. "FORM"u8, .. Word32(size ?? (uint)(4 + body.Length)), .. Encoding.ASCII.GetBytes(kind), .. body];
    }

    private static byte[] Chunk(string name, byte[] content, uint? size = null)
        => [.. Encoding.ASCII.GetBytes(name), .. Word32(size ?? (uint)content.Length), .. content, .. new byte[content.Length % 2]];

    private static byte[] Common(uint frames, int channels = 1, int bits = 16, byte[]? rate = null)
        => Chunk("COMM", [0, (byte)channels, .. Word32(frames), 0, (byte)bits, .. rate ?? Rate48000]);

    private static byte[] Sound(byte[] samples, uint skip = 0, uint? size = null) => Chunk("SSND", [.. Word32(skip), .. Word32(0), .. samples], size);

    private static byte[] Word32(uint value)
    {
        var bytes = new byte[4];
        BinaryPrimitives.WriteUInt32BigEndian(bytes, value);
        return bytes;
    }
}
