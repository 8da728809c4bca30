namespace RenderGraph.Graph.Locks;

/// <summary>One reason why what was rendered no longer holds.</summary>
/// <param name="Kind">Which kind.</param>
/// <param name="Sentence">What was and what is, in the graph's own names; without a full stop.</param>
public sealed record StaleReason(StaleKind Kind, string Sentence)
{
    /// <summary>Whether only an output is at fault: rendering again gives what the lock has.</summary>
    public bool IsOnlyAnOutput => Kind is StaleKind.OutputMissing or StaleKind.OutputChanged;
}

/// <summary>Why what was rendered no longer holds.</summary>
public enum StaleKind
{
    /// <summary>There is no lock.</summary>
    LockMissing,

    /// <summary>Another engine rendered it.</summary>
    EngineChanged,

    /// <summary>A node's type has another version.</summary>
    NodeVersionChanged,

    /// <summary>A parameter, a connection, a stem's or an output's key is another.</summary>
    GraphChanged,

    /// <summary>The content of a file that is read has changed, or it cannot be read.</summary>
    InputChanged,

    /// <summary>The anchor was measured anew, and is not where it was.</summary>
    AnchorChanged,

    /// <summary>A measure is wanted that was not taken.</summary>
    MeasureMissing,

    /// <summary>An output is not there.</summary>
    OutputMissing,

    /// <summary>An output is there, but is not what was rendered.</summary>
    OutputChanged,
}
