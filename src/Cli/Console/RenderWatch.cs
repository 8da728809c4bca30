using RenderGraph.Graph.Rendering;
using Spectre.Console;

namespace RenderGraph.Cli.Console;

/// <summary>Shows how far a render has come, if somebody is watching.</summary>
internal static class RenderWatch
{
    /// <summary>Runs <paramref name="render"/> and hands it the place to report to, or null when nobody watches.</summary>
    public static RenderResult Run(Terminal terminal, Func<Action<RenderProgress>?, RenderResult> render)
    {
        if (!terminal.ShowsProgress)
            return render(null);

        var console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(terminal.Error) });
        return console.Progress()
            .AutoClear(true)
            .Columns(new TaskDescriptionColumn(), new ProgressBarColumn(), new PercentageColumn(), new RemainingTimeColumn())
            .Start(context =>
            {
                ProgressTask? task = null;
                RenderStage? shown = null;
                return render(progress =>
                {
                    if (shown != progress.Stage)
                    {
                        task?.StopTask();
                        shown = progress.Stage;
                        task = context.AddTask(Markup.Escape(Words(progress.Stage)), maxValue: Math.Max(1, progress.TotalFrames));
                    }

                    task!.Value = progress.DoneFrames;
                });
            });
    }

    private static string Words(RenderStage stage) => stage == RenderStage.Listening ? "hearing the keys" : "rendering";
}
