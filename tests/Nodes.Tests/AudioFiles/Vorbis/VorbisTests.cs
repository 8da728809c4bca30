using System.Buffers.Binary;
using RenderGraph.Nodes.AudioFiles.Vorbis;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles.Vorbis;

/// <summary>Ogg Vorbis files that are damaged or cut; that whole ones decode is held in <see cref="MadeFilesTests"/>.</summary>
public sealed class VorbisTests
{
    private static readonly byte[] File = System.IO.File.ReadAllBytes(Path.Join(AppContext.BaseDirectory, "Reference", "audio_files", "vorbis-2.ogg"));

    [Fact]
    public void NoChangedByteGoesUnnoticed()
    {
        using var folder = new TempFolder();
        for (var i = 0; i < File.Length; i += 13)
        {
            var file = (byte[])File.Clone();
            file[i] ^= 1;
            Assert.NotEmpty(Opened.At(folder.Put("stem.ogg", file)).Said);
        }
    }

    [Fact]
    public void ACutFileIsLoadedWithAWarningOrRefused()
    {
        using var folder = new TempFolder();
        for (var length = 1; length < File.Length; length += 97)
        {
            try
            {
                Assert.NotEmpty(Opened.At(folder.Put("stem.ogg", File[..length])).Said);
            }
            catch (Graph.Contracts.StemException failure)
            {
                Assert.Equal(Graph.Diagnostics.DiagnosticCode.StemDamaged, failure.Code);
            }
        }
    }

    [Fact]
    public void TwoStreamsInARowAreRefused()
    {
        using var folder = new TempFolder();
        Assert.Equal(
            "RG303: it holds more than one stream of sound, one after the other or at once, but a stem is one. Export the part as a WAV file.",
            Assert.Single(Opened.At(folder.Put("stem.ogg", [.. File, .. File])).Said));
    }

    /// <summary>A codebook of 2^24 entries and 65,535 dimensions in a few bytes, by the Vorbis I specification, section 3.2.1.</summary>
    [Fact]
    public void ABookThatAsksForTooMuchMemoryIsRefusedBeforeItIsBuilt()
    {
        byte[] packet = [.. "\u0005vorbis"u8, 0, 0x42, 0x43, 0x56, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0x01, .. new byte[16]];
        Assert.Equal("its codebooks ask for more memory than any encoder's", VorbisSetup.Fault(packet));
        Assert.Equal("its codebooks cannot be read", VorbisSetup.Fault([.. "\u0005vorbis"u8, 0, 0, 0]));
        Assert.Null(VorbisSetup.Fault(OggPacket(2)));
    }

    /// <summary>A file's pages carry the checksums that the encoder gave them.</summary>
    [Fact]
    public void TheChecksumIsThatOfTheFilesOwnPages()
    {
        var bytes = 27 + File[26] + File.AsSpan(27, File[26]).ToArray().Sum(segment => segment);
        Assert.Equal(BinaryPrimitives.ReadUInt32LittleEndian(File.AsSpan(22)), OggPages.Crc(File.AsSpan(0, bytes)));
    }

    private static byte[] OggPacket(int index)
    {
        using var folder = new TempFolder();
        using var file = new RenderGraph.Nodes.AudioFiles.StemFile(folder.Put("stem.ogg", File));
        return OggPackets.Read(file, index)!;
    }
}
