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

    private static IEnumerable<StemEntry> HeardIn(GraphDocument document, Expectation gate)
    {
        var nodes = document.NodesAndSteps.ToDictionary(node => node.Id, StringComparer.Ordinal);
        var found = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<string>([gate.Kind == PointKind.Output ? document.Outputs.First(output => output.Id == gate.Of.Value).From.Value : gate.Of.Value]);
        while (open.TryPop(out var name))
        {
            if (!found.Add(name) || !nodes.TryGetValue(name, out var node))
                continue;
            var isKey = node.Type.Ports.Select(port => port.Kind == PortKind.Key).ToList();
            foreach (var input in node.Inputs.Where((_, index) => !isKey[Math.Min(index, isKey.Count - 1)]).OfType<Connection>())
                open.Push(input.From);
            if (node.IsStep) // what the chain takes goes into its steps
                open.Push(name[..name.LastIndexOf('.')]);
        }

        return document.Stems.Where(stem => found.Contains(stem.Id));
    }
}
