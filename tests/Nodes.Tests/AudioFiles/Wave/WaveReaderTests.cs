using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles;
using Xunit;
using static RenderGraph.Nodes.Tests.AudioFiles.Wave.WaveBytes;

namespace RenderGraph.Nodes.Tests.AudioFiles.Wave;

public sealed class WaveReaderTests
{
    /// <summary>Longer than what is read ahead, and of no round length.</summary>
    private const int Frames = 150_021;

    [Fact]
    public void FramesOutsideTheFileAreZero()
    {
        using var folder = new TempFolder();
        using var reader = Open(folder.Put("stem.wav", File([Format(), Data(16384, -32768, 8192)])));
        foreach (var (start, expected) in new (long, double[])[]
        {
            (-2, [0, 0, 0.5, -1, 0.25, 0, 0]), (1, [-1, 0.25, 0, 0, 0, 0, 0]), (3, new double[7]), (-7, new double[7]),
            (long.MaxValue - 100, new double[7]), (long.MinValue, new double[7]),
        })
        {
            var into = Signal.Allocate(1, 7);
            into[0].Fill(9);
            reader.Read(start, into);
            Assert.Equal(expected, into[0].ToArray());
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void AnyCutsFromAnyThreadsGiveTheSameSamples(int channels)
    {
        using var folder = new TempFolder();
        var random = new Random(3);
        var stored = Enumerable.Range(0, Frames * channels).Select(_ => (short)random.Next(-32768, 32768)).ToArray();
        using var reader = Open(folder.Put("stem.wav", File([Format(channels: channels), Data(stored)])));

        Parallel.For(0, 64, new ParallelOptions { MaxDegreeOfParallelism = 4 }, run =>
        {
            var place = new Random(run);
            var into = Signal.Allocate(channels, place.Next(1, 40_000));
            var start = place.Next(0, Frames);
            reader.Read(start, into);
            for (var frame = 0; frame < Math.Min(into.Frames, Frames - start); frame++)
            {
                for (var channel = 0; channel < channels; channel++)
                    Assert.Equal(stored[((start + frame) * channels) + channel] / 32768.0, into[channel][frame]);
            }
        });
    }

    [Theory]
    [InlineData(1, 1, 2048)]
    [InlineData(1, 2, 64)]
    [InlineData(1, 2, 16384)]
    [InlineData(1, 2, 70_000)]
    [InlineData(4, 2, 777)]
    public void FromFrontToBackTwiceItIsTheSameByOneThreadAheadAndBySeveralInTurns(int threads, int channels, int blockFrames)
    {
        using var folder = new TempFolder();
        var random = new Random(4);
        var stored = Enumerable.Range(0, Frames * channels).Select(_ => (short)random.Next(-32768, 32768)).ToArray();
        using var reader = Open(folder.Put("stem.wav", File([Format(channels: channels), Data(stored)])));
        for (var pass = 0; pass < 2; pass++)
        {
            var (samples, next) = (Signal.Allocate(channels, Frames), -blockFrames);
            var workers = Enumerable.Range(0, threads).Select(_ => new Thread(() =>
            {
                for (int start; (start = Interlocked.Add(ref next, blockFrames)) < Frames;)
                    reader.Read(start, samples.Slice(start, Math.Min(blockFrames, Frames - start)));
            })).ToList();
            workers.ForEach(worker => worker.Start());
            workers.ForEach(worker => worker.Join());

            for (var channel = 0; channel < channels; channel++)
                Assert.True(samples[channel].SequenceEqual(Enumerable.Range(0, Frames).Select(frame => stored[(frame * channels) + channel] / 32768.0).ToArray()));
        }
    }

    [Fact]
    public void ReadingAllocatesNothing()
    {
        using var folder = new TempFolder();
        using var reader = Open(folder.Put("stem.wav", File([Format(channels: 2), Data(new short[20_000])])));
        var into = Signal.Allocate(2, 5000);
        reader.Read(0, into);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var run = 0; run < 100; run++)
            reader.Read(run, into);

        Assert.Equal(before, GC.GetAllocatedBytesForCurrentThread());
    }

    [Theory]
    [InlineData(32, double.NaN, 1)]
    [InlineData(32, double.PositiveInfinity, 2)]
    [InlineData(64, double.NegativeInfinity, 2)]
    [InlineData(64, double.NaN, 1)]
    public void ASampleThatIsNoFiniteNumberStopsItWithItsFrame(int bits, double poison, int channels)
    {
        using var folder = new TempFolder();
        var samples = new double[30_000 * channels];
        samples[(24_001 * channels) + channels - 1] = poison;
        samples[29_000 * channels] = poison;
        var content = samples.SelectMany(x => bits == 32 ? BitConverter.GetBytes((float)x) : BitConverter.GetBytes(x)).ToArray();
        var path = folder.Put("stem.wav", File([Format(tag: 3, channels: channels, bits: bits), Chunk("data", content)]));
        using var reader = Open(path);

        reader.Read(0, Signal.Allocate(channels, 24_001));
        var thrown = Assert.Throws<StemException>(() => reader.Read(100, Signal.Allocate(channels, 29_500)));

        Assert.Equal(DiagnosticCode.StemNotFinite, thrown.Code);
        Assert.Equal(
            $"{path}: RG305: frame 24,001 (0.500 s) holds a sample that is not a finite number. Export it again; a plug-in of the session that made it has probably failed there.",
            thrown.Message);
    }

    [Fact]
    public void AFileThatBecomesShorterStopsIt()
    {
        using var folder = new TempFolder();
        var path = folder.Put("stem.wav", File([Format(), Data(new short[1000])]));
        using var reader = Open(path);
        using (var stream = new FileStream(path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite))
            stream.SetLength(1044);

        reader.Read(0, Signal.Allocate(1, 500));
        var thrown = Assert.Throws<StemException>(() => reader.Read(400, Signal.Allocate(1, 200)));

        Assert.Equal(
            $"{path}: RG304: the file has become shorter since it was opened: byte 1,044 is gone. Render again when nothing writes to it any more.",
            thrown.Message);
    }

    [Fact]
    public void AWriteProtectedStemIsReadAndStaysAsItWas()
    {
        using var folder = new TempFolder();
        var path = folder.Put("stem.wav", File([Format(), Data(16384)]));
        var before = System.IO.File.ReadAllBytes(path);
        System.IO.File.SetAttributes(path, FileAttributes.ReadOnly);
        try
        {
            Assert.Equal([0.5], Opened.At(path).Samples[0].ToArray());
            Assert.Equal(before, System.IO.File.ReadAllBytes(path));
        }
        finally
        {
            System.IO.File.SetAttributes(path, FileAttributes.Normal);
        }
    }

    /// <summary>By the word of the kernel: proc(5), fdinfo, the access mode in the lowest bits of the flags (0 is read-only).</summary>
    [Fact]
    public void AStemIsOpenedForReadingOnly()
    {
        if (!OperatingSystem.IsLinux()) return;
        using var folder = new TempFolder();
        var path = folder.Put("stem.wav", File([Format(), Data(16384)]));
        using var reader = Open(path);

        // Other tests close theirs meanwhile: a link that is gone has no target.
        var open = Directory.GetFiles("/proc/self/fd").Where(link => new FileInfo(link).LinkTarget == path).ToList();

        var info = System.IO.File.ReadAllLines($"/proc/self/fdinfo/{Path.GetFileName(Assert.Single(open))}");
        var flags = Convert.ToInt64(info.Single(line => line.StartsWith("flags:", StringComparison.Ordinal))[6..].Trim(), 8);
        Assert.Equal(0, flags & 3);
    }

    private static IStemReader Open(string path)
        => new DiskAudioFiles().OpenStem(new(path), (code, _, sentence, _) => Assert.Fail(string.Create(CultureInfo.InvariantCulture, $"{code}: {sentence}")))!;
}
