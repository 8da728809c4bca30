using System.Buffers.Binary;
using NAudio.Wave;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles.Writing;

/// <summary>What stands in an output beside its sound: markers and origin, read back by NAudio, and by us.</summary>
public sealed class FileNotesTests
{
    private static readonly string Stem = Path.Join(AppContext.BaseDirectory, "Reference", "wav_samples", "bwf-timeref.wav");

    [Fact]
    public void MarkersStandWhereTheHitsAreAndThoseOutsideThePartAreLeftOut()
    {
        using var folder = new TempFolder();
        var path = folder["mix.wav"];
        var signal = Signals.Noise(1000, channels: 2);
        Write(path, signal, format => format with { FirstFrame = 500, Cues = [new(20, "kick 1"), new(500, "kick 2"), new(777, "kïck 3"), new(1500, "kick 4")] });

        using var reader = new WaveFileReader(path);
        var cues = CueListInterpreter.Instance.Interpret(reader.Chunks)!;

        Assert.Equal([(0, "kick 2"), (277, "kïck 3")], Enumerable.Range(0, cues.Count).Select(i => (cues[i].Position, cues[i].Label)));
        Assert.Equal(1000, reader.SampleCount);
        AssertSameSound(path, signal);
    }

    [Fact]
    public void AFileWithoutMarkersInItHasNoChunkForThem()
    {
        using var folder = new TempFolder();
        var signal = Signals.Noise(100, channels: 1);
        Write(folder["with.wav"], signal, format => format with { Cues = [new(100, "late")] });
        Write(folder["without.wav"], signal, format => format);

        Assert.Equal(File.ReadAllBytes(folder["without.wav"]), File.ReadAllBytes(folder["with.wav"]));
    }

    /// <summary>The manifest of the reference files tells what the stem's bext chunk holds.</summary>
    [Fact]
    public void AnOriginIsCarriedOnWithTheOutputsOwnPlaceAndALineOfHistory()
    {
        using var folder = new TempFolder();
        var path = folder["mix.wav"];
        var signal = Signals.Noise(101, channels: 1);
        var origin = Opened.At(Stem).Format!.Origin;
        Write(path, signal, format => format with { FirstFrame = 10, Origin = origin, OriginFrames = 172_801_234 });

        using (var reader = new WaveFileReader(path))
        {
            var bext = BextInterpreter.Instance.Interpret(reader.Chunks)!;
            Assert.Equal("reference take", bext.Description);
            Assert.Equal("ref-data", bext.Originator);
            Assert.Equal("REF0001", bext.OriginatorReference);
            Assert.Equal("2024-05-06", bext.OriginationDate);
            Assert.Equal("07:08:09", bext.OriginationTime);
            Assert.Equal(172_801_244, bext.TimeReference);
            Assert.EndsWith("A=PCM,F=48000,W=24,M=mono,T=RenderGraph\r\n", bext.CodingHistory, StringComparison.Ordinal);
        }

        Assert.Equal(172_801_244, Opened.At(path).Format!.TimeReferenceFrames);
        AssertSameSound(path, signal);
    }

    /// <summary>EBU Tech 3285 version 2: 0x7FFF says that a loudness is not told.</summary>
    [Fact]
    public void TheStemsLoudnessIsNotTakenForTheOutputs()
    {
        using var folder = new TempFolder();
        var bext = new byte[602];
        bext[346] = 2;
        BinaryPrimitives.WriteInt16LittleEndian(bext.AsSpan(412), -2300);
        Write(folder["mix.wav"], Signals.Noise(10, channels: 1), format => format with { Origin = new(bext) });

        var written = Opened.At(folder["mix.wav"]).Format!.Origin!.Bytes.Span;
        for (var at = 412; at < 422; at += 2)
            Assert.Equal(0x7FFF, BinaryPrimitives.ReadInt16LittleEndian(written[at..]));
    }

    private static void Write(string path, Signal signal, Func<OutputFormat, OutputFormat> with)
    {
        using var writer = new DiskAudioFiles().CreateOutput(with(Written.Format(path, SampleEncoding.Pcm24, signal)));
        writer.Write(signal);
        writer.Finish();
        writer.Commit();
    }

    private static void AssertSameSound(string path, Signal signal)
    {
        var opened = Opened.At(path);
        Assert.Empty(opened.Said);
        for (var channel = 0; channel < signal.Channels; channel++)
        {
            for (var frame = 0; frame < signal.Frames; frame++)
                Assert.Equal(signal[channel][frame], opened.Samples[channel][frame], 2.0 / (1 << 23));
        }
    }
}
