using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Commands;

/// <summary>Which stem to look at first: of those that are heard in a signal, the one with the highest peak around a place, as it comes from its file at its own gain.</summary>
internal static class LoudestStem
{
    private const double AroundMs = 10;

    /// <returns>Null if none sounds there.</returns>
    public static string? At(LoadedGraph loaded, Expectation gate, long songFrame)
    {
        var around = (int)(AroundMs * loaded.SampleRateHz / 1000);
        var (loudest, most) = ((string?)null, 0.0);
        foreach (var stem in HeardIn(loaded.Document, gate).Where(stem => !stem.Muted))
        {
            var reader = loaded.Stems.Readers[stem.Id];
            var signal = Signal.Allocate(reader.Format.Channels, (2 * around) + 1);
            reader.Read(songFrame - around - Planner.StartFrame(stem, loaded.SampleRateHz), signal);
            for (var channel = 0; channel < signal.Channels; channel++)
            {
                foreach (var sample in signal[channel])
                    (loudest, most) = Math.Abs(sample) > most ? (stem.Id, Math.Abs(sample)) : (loudest, most);
            }
        }

        return loudest;
    }

    private static IReadOnlyList<StemEntry> HeardIn(GraphDocument document, Expectation gate) =>
        new GraphPaths(document).StemsBehind(gate.Kind == PointKind.Signal ? gate.Of.Value : SourceOf(document.Outputs.First(output => output.Owns(gate.Of.Value)), gate.Of.Value));

    /// <summary>Of one of several files, its part.</summary>
    private static string SourceOf(OutputEntry output, string file) => file == output.Id ? output.From.Value : file[(output.Id.Length + 1)..];
}
