using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli;

/// <summary>What the program tells the shell. Numbers never change their meaning.</summary>
internal static class ExitCode
{
    /// <summary>Done as asked.</summary>
    public const int Done = 0;

    /// <summary>A gate or a comparison failed: everything was written, and the answer is no.</summary>
    public const int GateFailed = 1;

    /// <summary>The graph or the command line is wrong; nothing was written.</summary>
    public const int GraphWrong = 2;

    /// <summary>An input could not be read; nothing was written.</summary>
    public const int InputUnreadable = 3;

    /// <summary>An output could not be written; files that were there before are still there.</summary>
    public const int OutputUnwritable = 4;

    /// <summary>A fault of our own: never the user's. The number is <c>EX_SOFTWARE</c> of the BSD header sysexits.h.</summary>
    public const int OurFault = 70;

    /// <summary>Interrupted; nothing half-written is left. As shells count: 128 and the number of SIGINT.</summary>
    public const int Interrupted = 130;

    /// <summary>Several kinds of fault may be found at once: the graph's come first, then the inputs', then the outputs'.</summary>
    public static int Of(DiagnosticList diagnostics)
    {
        var hundreds = diagnostics.InOrder.Where(d => d.Severity == Severity.Error).Select(d => (int)d.Code / 100);
        return hundreds.Select(Of).DefaultIfEmpty(Done).Min();
    }

    /// <summary>The exit code for one broken rule.</summary>
    public static int Of(DiagnosticCode code) => Of((int)code / 100);

    private static int Of(int hundred) => hundred switch { 5 => GateFailed, 3 => InputUnreadable, 4 => OutputUnwritable, _ => GraphWrong };
}
