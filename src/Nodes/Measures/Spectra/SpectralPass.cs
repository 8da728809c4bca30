using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures.Spectra;

/// <summary>Walks through the spooled low band of all stems together, window by window, and hands out their spectra in batches.</summary>
internal static class SpectralPass
{
    /// <summary>Walks. Batches come in order, one at a time; within one, stems are shared out to threads, which changes no bit.</summary>
    /// <param name="channels">Of each stem, in the order of the spool's planes.</param>
    /// <param name="windowCount">How many windows.</param>
    /// <param name="startFrame">The low band's frame at which a window begins.</param>
    /// <param name="threads">Most threads.</param>
    /// <param name="take">Uses a batch.</param>
    public static void Run(
        LowBandSpool spool, IReadOnlyList<int> channels, SpectralFrame frame, int windowCount, Func<int, long> startFrame, int threads, Action<SpectraBatch> take,
        CancellationToken cancellation)
    {
        var batch = new SpectraBatch(channels, frame.BinCount);
        for (var first = 0; first < windowCount; first += SpectraBatch.MostWindows)
        {
            batch.FirstWindow = first;
            batch.WindowCount = Math.Min(SpectraBatch.MostWindows, windowCount - first);
            Parallelly.For(channels.Count, threads, () => new Reading(frame), (stem, reading) =>
            {
                for (var channel = 0; channel < channels[stem]; channel++)
                    reading.Fill(spool, batch, batch.PlaneOf(stem, channel), startFrame);
            }, cancellation);
            take(batch);
        }
    }

    private sealed class Reading(SpectralFrame frame)
    {
        private readonly SpectralFrame.Worker _worker = frame.NewWorker();
        private double[] _samples = [];

        public void Fill(LowBandSpool spool, SpectraBatch batch, int plane, Func<int, long> startFrame)
        {
            // Windows that lie close together are read in one go.
            for (var window = 0; window < batch.WindowCount;)
            {
                var start = startFrame(batch.FirstWindow + window);
                var (next, end) = (window + 1, start + frame.WindowFrames);
                while (next < batch.WindowCount && startFrame(batch.FirstWindow + next) is var further && further >= start && further <= end + frame.WindowFrames)
                {
                    end = Math.Max(end, further + frame.WindowFrames);
                    next++;
                }

                if (_samples.Length < end - start)
                    _samples = new double[end - start];
                spool.Read(plane, start, _samples.AsSpan(0, (int)(end - start)));
                for (; window < next; window++)
                {
                    var at = (int)(startFrame(batch.FirstWindow + window) - start);
                    batch.IsSilent(plane, window) = !_worker.Of(_samples.AsSpan(at, frame.WindowFrames), batch.Real(plane, window), batch.Imaginary(plane, window));
                }
            }
        }
    }
}
