namespace RenderGraph.Cli.Batch;

/// <summary>How a song of a batch came out.</summary>
internal enum SongState
{
    /// <summary>Everything was written, and no gate failed.</summary>
    Done,

    /// <summary>Everything was written, and a gate failed.</summary>
    GateFailed,

    /// <summary>Recipe and song do not go together: nothing was written.</summary>
    Refused,

    /// <summary>A file of the song could not be read: nothing was written.</summary>
    Unreadable,

    /// <summary>An output could not be written.</summary>
    Unwritable,

    /// <summary>A fault of ours.</summary>
    Fault,
}

/// <summary>What a state is called, and where it comes from.</summary>
internal static class SongStates
{
    /// <summary>In words.</summary>
    public static string Word(this SongState state) => state switch
    {
        SongState.Done => "done",
        SongState.GateFailed => "gate failed",
        SongState.Refused => "refused",
        SongState.Unreadable => "unreadable",
        SongState.Unwritable => "unwritable",
        _ => "our fault",
    };

    /// <summary>In JSON.</summary>
    public static string Text(this SongState state) => state switch
    {
        SongState.Done => "done",
        SongState.GateFailed => "gateFailed",
        SongState.Refused => "refused",
        SongState.Unreadable => "unreadable",
        SongState.Unwritable => "unwritable",
        _ => "fault",
    };

    /// <summary>Whether the outputs are there.</summary>
    public static bool IsWritten(this SongState state) => state is SongState.Done or SongState.GateFailed;

    /// <summary>By what the shell would be told of this song alone.</summary>
    public static SongState OfExitCode(int exitCode) => exitCode switch
    {
        ExitCode.Done => SongState.Done,
        ExitCode.GateFailed => SongState.GateFailed,
        ExitCode.GraphWrong => SongState.Refused,
        ExitCode.InputUnreadable => SongState.Unreadable,
        ExitCode.OutputUnwritable => SongState.Unwritable,
        _ => SongState.Fault,
    };
}
