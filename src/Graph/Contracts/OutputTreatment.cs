namespace RenderGraph.Graph.Contracts;

/// <summary>What an output can ask for on the way into its file by a key of its own, which is a parameter of the node that does it.</summary>
/// <param name="Key">The key of the output, and the node's parameter.</param>
/// <param name="Type">
/// The node, created from that key alone. With two ports it is a listener: it treats the first and hears the second, which is the signal of the output whose level it is to set. It may then
/// ask for <c>channels</c>, the output's own.
/// </param>
/// <param name="Measures">What is measured of such an output without being asked for: whether it came out as wanted.</param>
public sealed record OutputTreatment(string Key, NodeType Type, IReadOnlyList<string> Measures)
{
    /// <summary>Measures that whoever asks for it cares for: see <see cref="NodeType.ComparedBy"/>.</summary>
    public IReadOnlyList<string> CaresFor { get; init; } = [];

    /// <summary>Measures that are taken of such an output and of its untreated counterpart without being asked for.</summary>
    public IReadOnlyList<string> ComparesWithUntreated { get; init; } = [];

    /// <summary>Whether it sets a level, which other outputs can take over.</summary>
    public bool SetsLevel => Type.Ports.Count > 1;
}
