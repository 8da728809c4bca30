namespace RenderGraph.Cli.Runs;

/// <summary>What became of a run.</summary>
internal enum RunStatus
{
    /// <summary>The graph or its stems have faults: nothing was written.</summary>
    Refused,

    /// <summary>A stem or an output failed while rendering: what was there before is still there.</summary>
    Failed,

    /// <summary>Every output is written. A gate may have failed: the exit code says so.</summary>
    Rendered,

    /// <summary>Everything was there already, as its lock has it: nothing was rendered. Gates were judged by the measures taken then.</summary>
    UpToDate,
}
