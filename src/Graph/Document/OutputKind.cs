namespace RenderGraph.Graph.Document;

/// <summary>What of a point an output writes.</summary>
public enum OutputKind
{
    /// <summary>What the point gives.</summary>
    Signal,

    /// <summary>What it would give if nothing were done to the stems.</summary>
    Untreated,

    /// <summary>What was taken away up to there.</summary>
    Delta,

    /// <summary>The parts that are mixed there, each after its treatment and in a file of its own: together they are the mix.</summary>
    Stems,
}
