using System.CommandLine;
using System.CommandLine.Help;
using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Console;

namespace RenderGraph.Cli;

/// <summary>The whole program behind its two streams: arguments in, exit code out. Tests call it as the shell does.</summary>
internal static class CommandLine
{
    private const string Job =
        "Cleans up the low end of a multitrack song from a JSON graph: it takes exported stems, makes room for the part that owns the low end "
        + "only while that part hits, and renders the full mix and a sub-only monitor file.";

    /// <summary>Set to anything, it makes an unexpected fault show where it came from.</summary>
    private const string DebugVariable = "RENDERGRAPH_DEBUG";

    /// <summary>Runs one command. Never throws.</summary>
    public static int Run(IReadOnlyList<string> arguments, CommandSetting setting)
    {
        var error = setting.Terminal.Error;
        try
        {
            // A graph may be called @song.json, so an argument is never taken for a file of arguments.
            var parsed = Tree(setting).Parse(arguments, new ParserConfiguration { ResponseFileTokenReplacer = null, EnablePosixBundling = false });
            if (UsageFault.Of(parsed) is { } fault)
            {
                error.WriteLine(fault);
                return ExitCode.GraphWrong;
            }

            return parsed.Invoke(new InvocationConfiguration
            {
                Output = setting.Terminal.Out,
                Error = error,
                EnableDefaultExceptionHandler = false,
                ProcessTerminationTimeout = null,
            });
        }
        catch (OperationCanceledException)
        {
            error.WriteLine("Interrupted: nothing half-written is left behind.");
            return ExitCode.Interrupted;
        }
        catch (OutOfMemoryException)
        {
            error.WriteLine("The machine has not enough memory for this graph. Use fewer --threads, smaller --block-frames, or fewer long delays.");
            return ExitCode.GraphWrong;
        }
#pragma warning disable CA1031 // The last place that can turn a fault of ours into a sentence.
        catch (Exception fault)
#pragma warning restore CA1031
        {
            if (Environment.GetEnvironmentVariable(DebugVariable) is not null)
                error.WriteLine(fault.ToString());
            error.WriteLine(
                $"This is a fault in rendergraph, not in your graph: {fault.GetType().Name}: {fault.Message.ReplaceLineEndings(" ")} "
                + $"Please report it with the graph; {DebugVariable}=1 shows where it happened.");
            return ExitCode.OurFault;
        }
    }

    private static RootCommand Tree(CommandSetting setting)
    {
        var root = new RootCommand(Job) { HelpName = "rendergraph" };
        root.Add(RenderCommand.Create(setting));
        root.Add(ExplainCommand.Create(setting));
        root.Add(VerifyCommand.Create(setting));
        root.Add(CheckCommand.Create(setting));
        root.Add(PlanCommand.Create(setting));
        root.Add(NodesCommand.Create(setting));
        root.Add(AnalyzeCommand.Create(setting));
        root.Add(ProposeCommand.Create(setting));
        root.Add(BindCommand.Create(setting));
        root.Add(HitsCommand.Create(setting));
        root.Add(MeasureCommand.Create(setting));
        root.Add(CompareCommand.Create(setting));
        root.Add(BatchCommand.Create(setting));
        root.Add(DemoCommand.Create(setting));
        root.Directives.Clear();

        var help = root.Options.OfType<HelpOption>().Single();
        if (help.Action is HelpAction page)
            page.MaxWidth = setting.Terminal.WidthColumns;
        root.SetAction(_ => root.Parse(["--help"]).Invoke(new InvocationConfiguration { Output = setting.Terminal.Out, Error = setting.Terminal.Error }));
        return root;
    }
}
