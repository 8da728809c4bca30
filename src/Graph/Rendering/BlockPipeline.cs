using System.Runtime.ExceptionServices;

namespace RenderGraph.Graph.Rendering;

/// <summary>
/// Runs jobs over the song in blocks. Each worker takes the next block and walks all jobs in the plan's order, with buffers of its own; a job that keeps
/// a state waits until the block before has left it. So every job sees its blocks in order, whatever the number of workers: the bytes cannot
/// differ. Even a graph that is one long chain keeps several cores busy, since several blocks are on their way at once.
/// </summary>
internal sealed class BlockPipeline
{
    // Long enough for a neighbour to end a short job, far too short to keep a core from anybody else.
    private const int SpinTurns = 60;

    private readonly IReadOnlyList<Job> _jobs;
    private readonly PaddedCount[] _blocksDone;
    private readonly int _blockFrames;
    private readonly long _totalFrames;
    private readonly long _blockCount;
    private readonly Action<long>? _progress;
    private readonly CancellationToken _cancellation;
    private readonly Lock _progressGate = new();
    private readonly object _gate = new();

    private long _nextBlock;
    private long _progressFrames;
    private int _sleeping;
    private volatile bool _isStopped;
    private ExceptionDispatchInfo? _failure;

    private BlockPipeline(IReadOnlyList<Job> jobs, int blockFrames, long totalFrames, Action<long>? progress, CancellationToken cancellation)
    {
        _jobs = jobs;
        _blocksDone = new PaddedCount[jobs.Count];
        (_blockFrames, _totalFrames) = (blockFrames, totalFrames);
        _blockCount = (totalFrames + blockFrames - 1) / blockFrames;
        (_progress, _cancellation) = (progress, cancellation);
    }

    /// <summary>Runs all jobs over all frames; the first failure of a job is thrown once every worker has stopped.</summary>
    /// <param name="workers">One set of buffers a worker.</param>
    public static void Run(
        IReadOnlyList<Job> jobs, IReadOnlyList<WorkerBuffers> workers, int blockFrames, long totalFrames,
        Action<long>? progress, CancellationToken cancellation)
    {
        var pipeline = new BlockPipeline(jobs, blockFrames, totalFrames, progress, cancellation);
        var threads = workers.Skip(1).Take((int)Math.Min(int.MaxValue, pipeline._blockCount)).Select(buffers =>
        {
            var thread = new Thread(() => pipeline.Work(buffers)) { IsBackground = true, Name = "render" };
            thread.Start();
            return thread;
        }).ToList();
        pipeline.Work(workers[0]);
        threads.ForEach(thread => thread.Join());
        pipeline._failure?.Throw();
        cancellation.ThrowIfCancellationRequested();
    }

    private void Work(WorkerBuffers buffers)
    {
        try
        {
            while (!_isStopped && !_cancellation.IsCancellationRequested)
            {
                var block = Interlocked.Increment(ref _nextBlock) - 1;
                if (block >= _blockCount)
                    return;
                var startFrame = block * _blockFrames;
                var frames = (int)Math.Min(_blockFrames, _totalFrames - startFrame);
                if (!Walk(buffers, block, startFrame, frames))
                    return;
                Report(startFrame + frames);
            }

            Stop(null);
        }
        catch (Exception failure) // whatever a job throws is thrown on, from the thread that asked for the render
        {
            Stop(ExceptionDispatchInfo.Capture(failure));
        }
    }

    private bool Walk(WorkerBuffers buffers, long block, long startFrame, int frames)
    {
        for (var index = 0; index < _jobs.Count; index++)
        {
            var job = _jobs[index];
            if (!job.IsOrdered)
            {
                job.Run(buffers, startFrame, frames);
                continue;
            }

            if (!WaitFor(index, block))
                return false;
            job.Run(buffers, startFrame, frames);
            Volatile.Write(ref _blocksDone[index].Value, block + 1);
            Interlocked.MemoryBarrier();
            if (Volatile.Read(ref _sleeping) > 0)
                WakeAll();
        }

        return true;
    }

    /// <summary>Waits until a job has done all blocks before this one; false if the render stops instead.</summary>
    private bool WaitFor(int index, long block)
    {
        ref var done = ref _blocksDone[index].Value;
        for (var turn = 0; turn < SpinTurns; turn++)
        {
            if (Volatile.Read(ref done) >= block)
                return true;
            Thread.SpinWait(20);
        }

        lock (_gate)
        {
            Interlocked.Increment(ref _sleeping);
            while (Volatile.Read(ref done) < block && !_isStopped)
                Monitor.Wait(_gate);
            Interlocked.Decrement(ref _sleeping);
        }

        return !_isStopped;
    }

    private void Stop(ExceptionDispatchInfo? failure)
    {
        if (failure is not null)
            Interlocked.CompareExchange(ref _failure, failure, null);
        _isStopped = true;
        WakeAll();
    }

    private void WakeAll()
    {
        lock (_gate)
            Monitor.PulseAll(_gate);
    }

    private void Report(long frames)
    {
        if (_progress is null)
            return;
        lock (_progressGate)
        {
            if (frames <= _progressFrames)
                return;
            _progressFrames = frames;
            _progress(frames);
        }
    }

    /// <summary>A counter alone on its cache lines: neighbours are written by other cores.</summary>
    [System.Runtime.InteropServices.StructLayout(System.Runtime.InteropServices.LayoutKind.Explicit, Size = 128)]
    private struct PaddedCount
    {
        [System.Runtime.InteropServices.FieldOffset(64)]
        public long Value;
    }
}
