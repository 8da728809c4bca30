using System.Diagnostics;

namespace RenderGraph.Cli.Tests;

/// <summary>The real program in a process of its own, standing in a folder: for signals, and for text in which paths are as short as a person sees them.</summary>
internal sealed class ProgramProcess : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    private readonly Process _process;
    private readonly Task<string> _out, _error;

    private ProgramProcess(Process process)
    {
        _process = process;
        (_out, _error) = (process.StandardOutput.ReadToEndAsync(), process.StandardError.ReadToEndAsync());
    }

    public bool HasExited => _process.HasExited;

    public static ProgramProcess Start(string folder, params string[] arguments)
    {
        // The SDK that runs the tests says which host it is.
        var host = new ProcessStartInfo(Environment.GetEnvironmentVariable("DOTNET_HOST_PATH") ?? "dotnet")
        {
            WorkingDirectory = folder,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        host.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, "rendergraph.dll"));
        foreach (var argument in arguments)
            host.ArgumentList.Add(argument);
        return new(Process.Start(host)!);
    }

    /// <summary>Runs to the end.</summary>
    public static CommandRun Run(string folder, params string[] arguments)
    {
        using var started = Start(folder, arguments);
        return started.End();
    }

    /// <summary>Sends a signal as a shell does: <c>INT</c>, <c>TERM</c>.</summary>
    public void Signal(string name)
    {
        using var kill = Process.Start("kill", ["-" + name, _process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
        kill.WaitForExit();
    }

    /// <summary>Waits for the end and gives what the shell would have seen, line ends as one character.</summary>
    public CommandRun End()
    {
        if (!_process.WaitForExit(Patience))
            throw new TimeoutException("The program does not end.");
        return new(_process.ExitCode, _out.Result.ReplaceLineEndings("\n"), _error.Result.ReplaceLineEndings("\n"));
    }

    public void Dispose()
    {
        if (!_process.HasExited)
            _process.Kill();
        _process.Dispose();
    }
}
