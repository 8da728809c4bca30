using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Tests;

/// <summary>A few node types that ask for every kind of parameter and do nothing.</summary>
internal static class StubNodes
{
    public static NodeCatalog Catalog { get; } = new(
    [
        Type("tone", [Port.Input], source => source.FrequencyHz("FrequencyHz", 20, 20000, null, "Where.")),
        Type("keyed", [Port.Input, Port.Key], source => source.Number("DepthDb", 0, 36, 6, "How far down.")),
        Type("sum", [Port.Inputs], _ => 0),
    ]);

    private static NodeType Type(string name, IReadOnlyList<Port> ports, Func<IParameterSource, double> read) =>
        NodeType.Define(name, 1, "A stub.", ports, read, _ => new StubNode());

    private sealed class StubNode : INode
    {
        public int LatencyFrames(int sampleRateHz) => 0;

        public void Prepare(NodeFormat format)
        {
        }

        public void Process(in Block block)
        {
        }
    }
}
