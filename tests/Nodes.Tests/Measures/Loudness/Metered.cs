using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Loudness;

namespace RenderGraph.Nodes.Tests.Measures.Loudness;

/// <summary>What the meter says of a whole signal.</summary>
internal static class Metered
{
    /// <summary>Every measure that the meter has.</summary>
    public static IReadOnlySet<string> All { get; } = LoudnessMeter.Type.Measures.Select(measure => measure.Name).ToHashSet();

    /// <summary>Hears a signal in blocks.</summary>
    public static IReadOnlyDictionary<string, Measurement> Of(Signal signal, int sampleRateHz, int blockFrames = 2048, IReadOnlySet<string>? measures = null)
    {
        var meter = LoudnessMeter.Type.Create(measures ?? All);
        meter.Prepare(new(sampleRateHz, [signal.Channels], blockFrames));
        for (var start = 0; start < signal.Frames; start += blockFrames)
            meter.Hear([signal.Slice(start, Math.Min(blockFrames, signal.Frames - start))]);
        return meter.Conclude().ToDictionary(measurement => measurement.Name);
    }
}
