using System.Runtime.ExceptionServices;

namespace RenderGraph.Nodes.Measures;

/// <summary>Shares work out to threads and lets a failure come out as itself: of several, the first.</summary>
internal static class Parallelly
{
    /// <summary>Runs <paramref name="work"/> for every index.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static void For(int count, int threads, Action<int> work, CancellationToken cancellation) =>
        For(count, threads, () => true, (index, _) => work(index), cancellation);

    /// <summary>Runs <paramref name="work"/> for every index, each thread with a room of its own to work in.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static void For<TRoom>(int count, int threads, Func<TRoom> newRoom, Action<int, TRoom> work, CancellationToken cancellation)
    {
        try
        {
            Parallel.For(0, count, new ParallelOptions { MaxDegreeOfParallelism = threads, CancellationToken = cancellation }, newRoom, (index, _, room) =>
            {
                work(index, room);
                return room;
            }, _ => { });
        }
        catch (AggregateException failures)
        {
            ExceptionDispatchInfo.Throw(failures.InnerExceptions[0]);
        }
    }
}
