using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Measuring;

/// <summary>Measures what is in a file, from its first frame to its last.</summary>
public static class FileMeasuring
{
    private const int BlockFrames = 4096;

    /// <summary>Streams the file through the meters. Memory does not grow with its length.</summary>
    /// <exception cref="StemException">The file failed while being read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static IReadOnlyList<Measurement> Measure(IStemReader file, MeterSet meters, CancellationToken cancellation)
    {
        var format = file.Format;
        meters.Prepare(new(format.SampleRateHz, [format.Channels], BlockFrames));
        var block = Signal.Allocate(format.Channels, BlockFrames);
        for (var frame = 0L; frame < format.LengthFrames; frame += BlockFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            var part = block.Slice(0, (int)Math.Min(BlockFrames, format.LengthFrames - frame));
            file.Read(frame, part);
            meters.Hear([part]);
        }

        return meters.Conclude();
    }
}
