using System.Runtime.ExceptionServices;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Batch;

/// <summary>Works through the songs of a batch, several at once. Songs share nothing: whatever one of them comes to, the others go on, and what is told of each is the same for any number of workers.</summary>
internal static class BatchRun
{
    /// <summary>Runs <paramref name="work"/> on every song; a worker that is free takes the next in line.</summary>
    /// <param name="work">Given the song and a place to report to; tells also whether the song was there before.</param>
    /// <returns>In the order of the songs.</returns>
    /// <exception cref="OperationCanceledException">Interrupted: what is finished stays.</exception>
    /// <exception cref="RecipeException">The recipe itself has faults.</exception>
    public static IReadOnlyList<SongResult> Run(
        IReadOnlyList<Song> songs, int workers, Func<Song, Action<RenderProgress>, (SongResult Result, bool WasThere)> work, IBatchWatch watch, CancellationToken cancellation)
    {
        var results = new SongResult[songs.Count];
        var next = -1;
        ExceptionDispatchInfo? failure = null;
        var threads = Enumerable.Range(0, Math.Min(workers, songs.Count)).Select(_ => new Thread(Work) { IsBackground = true, Name = "song" }).ToList();
        threads.ForEach(thread => thread.Start());
        threads.ForEach(thread => thread.Join());
        failure?.Throw();
        cancellation.ThrowIfCancellationRequested();
        return results;

        void Work()
        {
            try
            {
                while (!cancellation.IsCancellationRequested && failure is null && Interlocked.Increment(ref next) is var index && index < songs.Count)
                {
                    var song = songs[index];
                    watch.Begin(song);
                    var (result, wasThere) = Try(song);
                    results[index] = result;
                    watch.End(song, result, wasThere);
                }
            }
            catch (OperationCanceledException)
            {
                // Told once, for all songs.
            }
            catch (Exception fault) // the recipe's, which are the same for all songs, or the watch's
            {
                Interlocked.CompareExchange(ref failure, ExceptionDispatchInfo.Capture(fault), null);
            }
        }

        (SongResult, bool) Try(Song song)
        {
            try
            {
                return work(song, progress => watch.Progress(song, progress));
            }
            catch (Exception stop) when (stop is OperationCanceledException or RecipeException)
            {
                throw;
            }
            catch (OutOfMemoryException)
            {
                return (Fault(song, "the machine has not enough memory for it. Use fewer --workers."), false);
            }
#pragma warning disable CA1031 // A fault of ours in one song must not take the others with it.
            catch (Exception fault)
#pragma warning restore CA1031
            {
                return (Fault(song, $"a fault in rendergraph, not in your song: {fault.GetType().Name}: {Plain.Of(fault.Message.ReplaceLineEndings(" "))} Please report it with the graph."), false);
            }
        }
    }

    private static SongResult Fault(Song song, string sentence) => SongResult.Failed(song.Name, SongState.Fault, [new(true, "fault", $"{Plain.Of(song.Folder)}: {sentence}")]);
}
