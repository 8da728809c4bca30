using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Cli.Tests;

/// <summary>One run of the program, in this process: what the shell would have seen.</summary>
internal sealed record CommandRun(int ExitCode, string Out, string Error)
{
    public static CommandRun Of(params string[] arguments) => Of(CancellationToken.None, arguments);

    public static CommandRun Of(CancellationToken cancellation, params string[] arguments) => Of(new DiskAudioFiles(), cancellation, arguments);

    /// <param name="files">Something between the program and the disk.</param>
    public static CommandRun Of(IAudioFiles files, CancellationToken cancellation, params string[] arguments)
    {
        using var output = new StringWriter { NewLine = "\n" };
        using var error = new StringWriter { NewLine = "\n" };
        var exitCode = CommandLine.Run(arguments, new CommandSetting(new Terminal(output, error), BuiltInNodes.Catalog, files, cancellation));
        return new(exitCode, output.ToString(), error.ToString());
    }

    /// <summary>The same with every path of a temporary folder taken away, so that it can be compared.</summary>
    public CommandRun Without(string folder) => this with { Out = Clean(Out, folder), Error = Clean(Error, folder) };

    private static string Clean(string text, string folder) => text.Replace(folder + Path.DirectorySeparatorChar, "", StringComparison.Ordinal);
}
