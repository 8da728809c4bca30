using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Cli.Commands;

/// <summary>
/// Which stem to look at first: of those that are heard in a signal, the one with the highest peak around a place, as it comes from its file at its own gain. Where a measure is about the low end, the one with
/// the most of it from there on; what is held against the anchor has its cause elsewhere, so the anchor is left out.
/// </summary>
internal static class LoudestStem
{
    private const double AroundMs = 10, LeadMs = 50;

    /// <returns>Null if none sounds there.</returns>
    public static string? At(LoadedGraph loaded, Expectation gate, long songFrame)
    {
        var meter = loaded.Document.Measured.First(point => gate.IsAt(point)).Meters.First(meter => meter.Measures.Any(measure => measure.Name == gate.Measure));
        var rateHz = loaded.SampleRateHz;
        var (from, count) = meter.IsOfLowEnd
            ? (songFrame - Frames(LeadMs), Frames(LeadMs + (1000 * CollisionMap.WindowSeconds)))
            : (songFrame - Frames(AroundMs), (2 * Frames(AroundMs)) + 1);
        var (loudest, most) = ((string?)null, 0.0);
        foreach (var stem in HeardIn(loaded.Document, gate).Where(stem => !stem.Muted && !(meter.NeedsAnchor && stem.Id == loaded.Document.Anchor?.Stem.Value)))
        {
            var reader = loaded.Stems.Readers[stem.Id];
            var signal = Signal.Allocate(reader.Format.Channels, count);
            reader.Read(from - Planner.StartFrame(stem, rateHz), signal);
            var loudness = meter.IsOfLowEnd ? LowEnergy(signal) : Peak(signal);
            (loudest, most) = loudness > most ? (stem.Id, loudness) : (loudest, most);
        }

        return loudest;

        int Frames(double ms) => (int)(ms * rateHz / 1000);

        // From the place on; what comes before only fills the filters.
        double LowEnergy(Signal signal)
        {
            var (band, energy) = (LowBand.Of(rateHz), 0.0);
            var low = new double[Decimator.MostSamples(count, band.Factor)];
            for (var channel = 0; channel < signal.Channels; channel++)
            {
                var given = new Decimator(band.Factor, LowBand.PassHz, rateHz).Process(signal[channel], low);
                energy += Energy.Of(low.AsSpan(0, given)[Math.Min(given, Frames(LeadMs) / band.Factor)..]) / signal.Channels;
            }

            return energy;
        }
    }

    private static double Peak(Signal signal)
    {
        var peak = 0.0;
        for (var channel = 0; channel < signal.Channels; channel++)
            peak = Peaks.Largest(signal[channel], peak);
        return peak;
    }

    private static IReadOnlyList<StemEntry> HeardIn(GraphDocument document, Expectation gate) =>
        new GraphPaths(document).StemsBehind(gate.Kind == PointKind.Signal ? gate.Of.Value : SourceOf(document.Outputs.First(output => output.Owns(gate.Of.Value)), gate.Of.Value));

    /// <summary>Of one of several files, its part.</summary>
    private static string SourceOf(OutputEntry output, string file) => file == output.Id ? output.From.Value : file[(output.Id.Length + 1)..];
}
