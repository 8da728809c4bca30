using System.Buffers.Binary;
using System.Text;
using NAudio.Wave;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.AudioFiles.Writing;
using RenderGraph.Testing;
using RenderGraph.Nodes.Tests.AudioFiles.Wave;
using Xunit;
namespace RenderGraph.Nodes.Tests.AudioFiles.Writing;

public sealed class WaveWriterTests
{
    private const string OldContent = "what was there before";

    [Fact]
    public void TheHeaderIsTheShortestThatSaysEverything()
    {
        using var folder = new TempFolder();
        Written.To(folder["pcm.wav"], SampleEncoding.Pcm24, Signal.Allocate(1, 3));
        Written.To(folder["float.wav"], SampleEncoding.Float32, Signal.Allocate(2, 3));

        // 9 bytes of sound are padded to 10, which the header's size counts and the chunk's does not (RIFF).
        Assert.Equal([.. WaveBytes.File([WaveBytes.Format(bits: 24), WaveBytes.Chunk("data", new byte[9])])], File.ReadAllBytes(folder["pcm.wav"]));
        Assert.Equal(
            WaveBytes.File([WaveBytes.Format(tag: 3, channels: 2, bits: 32, more: [0, 0]), WaveBytes.Chunk("fact", WaveBytes.Word32(3)), WaveBytes.Chunk("data", new byte[24])]),
            File.ReadAllBytes(folder["float.wav"]));
    }

    /// <summary>Offsets and meanings by EBU Tech 3306, ds64: RIFF size, data size, sample count, table length.</summary>
    [Theory]
    [InlineData(SampleEncoding.Pcm24)]
    [InlineData(SampleEncoding.Float32)]
    public void PastTheSizeOfARiffFileItBecomesRf64(SampleEncoding encoding)
    {
        using var folder = new TempFolder();
        var signal = Signals.Noise(1001, channels: 2);
        var summary = WriteWithRoomFor(folder["out.wav"], encoding, signal, mostRiffBytes: 4000);
        var bytes = File.ReadAllBytes(folder["out.wav"]);
        var dataBytes = 1001 * 2 * (encoding == SampleEncoding.Pcm24 ? 3 : 4);

        Assert.Equal("RF64", summary.Container);
        Assert.Equal("RF64", Encoding.ASCII.GetString(bytes, 0, 4));
        Assert.Equal(uint.MaxValue, BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(4)));
        Assert.Equal("WAVEds64", Encoding.ASCII.GetString(bytes, 8, 8));
        Assert.Equal(28u, BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(16)));
        Assert.Equal(bytes.Length - 8, BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan(20)));
        Assert.Equal(dataBytes, BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan(28)));
        Assert.Equal(1001, BinaryPrimitives.ReadInt64LittleEndian(bytes.AsSpan(36)));
        Assert.Equal(0u, BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(44)));
        Assert.Equal("fmt ", Encoding.ASCII.GetString(bytes, 48, 4));
        var data = bytes.Length - dataBytes - 8;
        Assert.Equal("data", Encoding.ASCII.GetString(bytes, data, 4));
        Assert.Equal(uint.MaxValue, BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(data + 4)));

        var opened = Opened.At(folder["out.wav"]);
        Assert.Empty(opened.Said);
        Written.To(folder["riff.wav"], encoding, signal);
        Assert.Equal(Opened.At(folder["riff.wav"]).Samples[1].ToArray(), opened.Samples[1].ToArray());
        using var judge = new WaveFileReader(folder["out.wav"]);
        Assert.Equal(1001, judge.SampleCount);
    }

    [Fact]
    public void UpToTheSizeOfARiffFileItStaysOne()
    {
        using var folder = new TempFolder();

        Assert.Equal("WAV", WriteWithRoomFor(folder["out.wav"], SampleEncoding.Pcm16, Signal.Allocate(2, 1000), mostRiffBytes: 4200).Container);
        Assert.Equal("data", Encoding.ASCII.GetString(File.ReadAllBytes(folder["out.wav"]), 36, 4));
    }

    [Fact]
    public void TheOldFileStaysUntilTheNewOneIsWhole()
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder["mix.wav"], OldContent);
        var signal = Signals.Noise(100, channels: 2);
        using (var writer = new DiskAudioFiles().CreateOutput(Written.Format(folder["mix.wav"], SampleEncoding.Pcm16, signal)))
        {
            writer.Write(signal);
            Assert.Equal([folder[".mix.wav.part"], folder["mix.wav"]], Directory.GetFiles(folder.FullName).Order(StringComparer.Ordinal));
            writer.Finish();
            Assert.Equal(OldContent, File.ReadAllText(folder["mix.wav"]));
        }

        Assert.Equal([folder["mix.wav"]], Directory.GetFiles(folder.FullName));
        Assert.Equal(OldContent, File.ReadAllText(folder["mix.wav"]));

        Written.To(folder["mix.wav"], SampleEncoding.Pcm16, signal);
        Assert.Equal([folder["mix.wav"]], Directory.GetFiles(folder.FullName));
        Assert.Equal(100, Opened.At(folder["mix.wav"]).Format?.LengthFrames);
    }

    [Fact]
    public void MissingFoldersAreMadeAndGoAgainIfNothingComesOfIt()
    {
        using var folder = new TempFolder();
        var files = new DiskAudioFiles();
        var (mix, monitor) = (Path.Join(folder.FullName, "a", "b", "mix.wav"), Path.Join(folder.FullName, "a", "b", "c", "monitor.wav"));
        var first = files.CreateOutput(Written.Format(mix, SampleEncoding.Pcm16, Signal.Allocate(1, 1)));
        var second = files.CreateOutput(Written.Format(monitor, SampleEncoding.Pcm16, Signal.Allocate(1, 1)));

        first.Dispose();
        second.Dispose();
        Assert.Empty(Directory.GetFileSystemEntries(folder.FullName));

        Written.To(mix, SampleEncoding.Pcm16, Signal.Allocate(1, 1));
        Assert.True(File.Exists(mix));
    }

    [Theory]
    [InlineData(20)]
    [InlineData(44)]
    [InlineData(1000)]
    [InlineData(2044)]
    public void AFullDiskIsToldAndLeavesNothingNew(long roomBytes)
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder["mix.wav"], OldContent);
        var signal = Signals.Noise(1001, channels: 1);

        var thrown = Assert.Throws<OutputException>(() =>
        {
            using var writer = new WaveWriter(
                Written.Format(folder["mix.wav"], SampleEncoding.Pcm16, signal), new(), uint.MaxValue, disk => new FullDisk(disk, roomBytes));
            writer.Write(signal.Slice(0, 500));
            writer.Write(signal.Slice(500, 501));
            writer.Finish();
            writer.Commit();
        });

        Assert.Equal(
            $"{folder["mix.wav"]}: RG403: the disk is full, or your share of it. Make room, or choose a folder on another disk.", thrown.Message);
        Assert.Equal([folder["mix.wav"]], Directory.GetFiles(folder.FullName));
        Assert.Equal(OldContent, File.ReadAllText(folder["mix.wav"]));
    }

    [Fact]
    public void AnOutputForWhichThereIsNoRoomIsToldBeforeAnythingIsRendered()
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder["mix.wav"], OldContent);
        var format = Written.Format(folder["mix.wav"], SampleEncoding.Pcm16, Signal.Allocate(2, 1)) with { LengthFrames = 1L << 59 };

        var thrown = Assert.Throws<OutputException>(() => new DiskAudioFiles().CreateOutput(format));

        Assert.Equal(
            $"{folder["mix.wav"]}: RG403: the disk has no room for its 2,305,843,009,213,694,080 bytes. Make room, or choose a folder on another disk.", thrown.Message);
        Assert.Equal([folder["mix.wav"]], Directory.GetFiles(folder.FullName));
        Assert.Equal(OldContent, File.ReadAllText(folder["mix.wav"]));
    }

    [Fact]
    public void WhatIsBroughtToTheDiskOnTheWayIsTheSameFile()
    {
        using var folder = new TempFolder();
        var noise = Signals.Noise(1 << 20, channels: 2);
        using (var writer = new DiskAudioFiles().CreateOutput(Written.Format(folder["mix.wav"], SampleEncoding.Float32, noise) with { LengthFrames = 5L << 20 }))
        {
            for (var turn = 0; turn < 5; turn++)
                writer.Write(noise); // 40 MiB: it is flushed twice on the way
            writer.Finish();
            writer.Commit();
        }

        var read = Opened.At(folder["mix.wav"]).Samples;
        Assert.Equal(5 << 20, read.Frames);
        for (var channel = 0; channel < 2; channel++)
        {
            var stored = Array.ConvertAll(noise[channel].ToArray(), sample => (double)(float)sample);
            for (var turn = 0; turn < 5; turn++)
                Assert.True(read[channel].Slice(turn * stored.Length, stored.Length).SequenceEqual(stored));
        }
    }

    [Fact]
    public void ATargetThatCannotBeWrittenIsToldBeforeAnything()
    {
        using var folder = new TempFolder();
        Directory.CreateDirectory(folder["mix.wav"]);
        File.WriteAllText(folder["kept.wav"], OldContent);
        File.SetAttributes(folder["kept.wav"], FileAttributes.ReadOnly);
        File.WriteAllText(folder["file"], OldContent);

        Assert.Equal($"{folder["mix.wav"]}: RG403: it is a folder. Give the output another file name.", Refusal(folder["mix.wav"]));
        Assert.Equal($"{folder["kept.wav"]}: RG403: it is there and write-protected. Make it writable, or give the output another file name.", Refusal(folder["kept.wav"]));
        var inFile = Path.Join(folder["file"], "mix.wav");
        Assert.StartsWith($"{inFile}: RG403: it cannot be written (", Refusal(inFile), StringComparison.Ordinal);
        Assert.Equal(OldContent, File.ReadAllText(folder["file"]));
        File.SetAttributes(folder["kept.wav"], FileAttributes.Normal);
        Assert.Equal([folder["file"], folder["kept.wav"]], Directory.GetFiles(folder.FullName).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void ALinkInThePartsPlaceIsNotFollowed()
    {
        if (OperatingSystem.IsWindows()) return;
        using var folder = new TempFolder();
        File.WriteAllText(folder["kick.wav"], OldContent);
        File.CreateSymbolicLink(folder[".mix.wav.part"], folder["kick.wav"]);

        Written.To(folder["mix.wav"], SampleEncoding.Pcm16, Signal.Allocate(1, 1));

        Assert.Equal(OldContent, File.ReadAllText(folder["kick.wav"]));
        Assert.Null(new FileInfo(folder["mix.wav"]).LinkTarget);
    }

    [Fact]
    public void ANameAsLongAsNamesMayBeIsWritten()
    {
        using var folder = new TempFolder();
        var path = folder[new string('ü', 125) + ".wav"];

        Written.To(path, SampleEncoding.Pcm16, Signal.Allocate(1, 1));

        Assert.Equal([path], Directory.GetFiles(folder.FullName));
    }

    private static OutputSummary WriteWithRoomFor(string path, SampleEncoding encoding, Signal signal, long mostRiffBytes)
    {
        using var writer = new WaveWriter(Written.Format(path, encoding, signal), new(), mostRiffBytes, disk => disk);
        writer.Write(signal);
        var summary = writer.Finish();
        writer.Commit();
        return summary;
    }

    private static string Refusal(string path)
        => Assert.Throws<OutputException>(() => new DiskAudioFiles().CreateOutput(Written.Format(path, SampleEncoding.Pcm16, Signal.Allocate(1, 1)))).Message;
}
