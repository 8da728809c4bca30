using System.Globalization;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Rendering;
using Spectre.Console;

namespace RenderGraph.Cli.Batch;

/// <summary>Shows how far a batch has come: bars where somebody watches, the whole and each song that is being worked on; else a line for each song that is done with.</summary>
internal static class BatchWatch
{
    /// <summary>Runs <paramref name="batch"/> and hands it the watch.</summary>
    public static T Run<T>(Terminal terminal, int songs, Func<IBatchWatch, T> batch)
    {
        if (!terminal.ShowsProgress)
            return batch(new Lines(terminal.Error, songs));

        var console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(terminal.Error) });
        return console.Progress().AutoClear(true).Columns(new BarColumn()).Start(context => batch(new Bars(context, songs)));
    }

    /// <summary><c> 12 of 200  Harbour Lights: done</c>.</summary>
    public static string Line(int done, int songs, Song song, SongResult result, bool wasThere)
    {
        var all = Say.Whole(songs);
        return $"{Say.Whole(done).PadLeft(all.Length)} of {all}  {Plain.Of(song.Name)}: {result.State.Word()}{(wasThere ? ", as it was" : "")}";
    }

    /// <summary><c>Harbour Lights      [######      ]  40 %</c>.</summary>
    public static string Bar(string words, double done, double total)
    {
        const int WordColumns = 32, BarColumns = 30;
        var share = Math.Clamp(done / total, 0, 1);
        var name = words.Length > WordColumns ? words[..(WordColumns - 3)] + "..." : words.PadRight(WordColumns);
        return string.Create(CultureInfo.InvariantCulture, $"{name}  [{new string('#', (int)(BarColumns * share)).PadRight(BarColumns)}] {(int)(100 * share),3} %");
    }

    private sealed class Lines(TextWriter writer, int songs) : IBatchWatch
    {
        private readonly Lock _gate = new();
        private int _done;

        public void Begin(Song song)
        {
        }

        public void Progress(Song song, RenderProgress progress)
        {
        }

        public void End(Song song, SongResult result, bool wasThere)
        {
            lock (_gate)
                writer.WriteLine(Line(++_done, songs, song, result, wasThere));
        }
    }

    private sealed class Bars : IBatchWatch
    {
        private readonly Lock _gate = new();
        private readonly ProgressContext _context;
        private readonly ProgressTask _all;
        private readonly Dictionary<Song, ProgressTask> _songs = [];
        private readonly int _count;

        public Bars(ProgressContext context, int songs)
        {
            (_context, _count) = (context, songs);
            _all = context.AddTask($"0 of {Say.Whole(songs)} songs", maxValue: Math.Max(1, songs));
        }

        public void Begin(Song song)
        {
            lock (_gate)
                _songs[song] = _context.AddTask(Plain.Of(song.Name), maxValue: 1);
        }

        // Hearing the keys is the first half, rendering the second.
        public void Progress(Song song, RenderProgress progress)
        {
            lock (_gate)
                _songs[song].Value = ((progress.Stage == RenderStage.Listening ? 0 : 1) + (progress.DoneFrames / (double)Math.Max(1, progress.TotalFrames))) / 2;
        }

        public void End(Song song, SongResult result, bool wasThere)
        {
            lock (_gate)
            {
                _context.RemoveTask(_songs[song]);
                _songs.Remove(song);
                _all.Increment(1);
                _all.Description = $"{Say.Whole((long)_all.Value)} of {Say.Whole(_count)} songs";
            }
        }
    }

    private sealed class BarColumn : ProgressColumn
    {
        public override Spectre.Console.Rendering.IRenderable Render(
            Spectre.Console.Rendering.RenderOptions options, ProgressTask task, TimeSpan deltaTime) => new Text(Bar(task.Description, task.Value, task.MaxValue));
    }
}
