using RenderGraph.Graph.Rendering;
using Spectre.Console;

namespace RenderGraph.Cli.Console;

/// <summary>Shows how far a render has come, if somebody is watching.</summary>
internal static class RenderWatch
{
    /// <summary>Runs <paramref name="render"/> and hands it the place to report to, or null when nobody watches.</summary>
    public static T Run<T>(Terminal terminal, int sampleRateHz, Func<Action<RenderProgress>?, T> render)
    {
        if (!terminal.ShowsProgress)
            return render(null);

        var console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(terminal.Error) });
        return console.Progress()
            .AutoClear(true)
            .Columns(new SongColumn(sampleRateHz))
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
                        task = context.AddTask(Words(progress.Stage), maxValue: Math.Max(1, progress.TotalFrames));
                    }

                    task!.Value = progress.DoneFrames;
                });
            });
    }

    private static string Words(RenderStage stage) => stage == RenderStage.Listening ? "hearing the keys" : "rendering";

    /// <summary>The place in the song, in whole seconds: <c>rendering         [######      ]  1:10 of 3:00</c>.</summary>
    public static string Line(string words, double doneFrames, double totalFrames, int sampleRateHz)
    {
        const int WordColumns = 18, BarColumns = 30;
        var bar = new string('#', (int)(BarColumns * Math.Clamp(doneFrames / totalFrames, 0, 1))).PadRight(BarColumns);
        return $"{words.PadRight(WordColumns)}[{bar}]  {Place(doneFrames)} of {Place(totalFrames)}";

        string Place(double frames) => SongTime.Write(Math.Floor(frames / sampleRateHz))[..^".000".Length];
    }

    private sealed class SongColumn(int sampleRateHz) : ProgressColumn
    {
        public override Spectre.Console.Rendering.IRenderable Render(
            Spectre.Console.Rendering.RenderOptions options, ProgressTask task, TimeSpan deltaTime) =>
            new Text(Line(task.Description, task.Value, task.MaxValue, sampleRateHz));
    }
}
