using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// Finds how loud a key's loud hits are. The song is cut into windows of 400 ms, each counted by its loudest moment in a histogram of 0.1 dB, so
/// memory does not grow with the song. From the windows above -80 dBFS (less is silence):
/// <list type="number">
/// <item>An outlier is set aside: one or two windows within 6 dB of the loudest, if they are fewer than one in twenty of those within 30 dB. The
/// next loudest are then looked at in the same way.</item>
/// <item>The answer is the median of the rest, each window counted by its energy: half of all energy lies in windows at least so loud. Ghost hits,
/// bleed and pauses have little energy, however many they are.</item>
/// </list>
/// Scaling the key moves the answer by as much, within one step of 0.1 dB. The rule is our own; no source.
/// </summary>
internal sealed class LoudHits(int sampleRateHz)
{
    /// <summary>The answer for a key that is silence throughout: no sound is so loud.</summary>
    public const double NoneDbfs = 1000;

    private const double WindowMs = 400, QuietestDbfs = -80, LoudestDbfs = 120;
    private const int StepsPerDb = 10;
    private const int OutlierWindows = 2, OutlierShare = 20, OutlierSteps = 6 * StepsPerDb, ActiveSteps = 30 * StepsPerDb;

    private readonly int[] _windowsAt = new int[(int)((LoudestDbfs - QuietestDbfs) * StepsPerDb) + 1];
    private readonly int _windowSteps = ControlGrid.StepsAround(WindowMs, sampleRateHz);
    private int _steps;
    private double _peak;

    /// <summary>Takes the peak of the next control step.</summary>
    public void Add(double peak)
    {
        _peak = Math.Max(_peak, peak);
        if (++_steps == _windowSteps)
            CloseWindow();
    }

    /// <summary>Level of the loud hits, on a step of 0.1 dB, or <see cref="NoneDbfs"/>. The last window counts, whole or not.</summary>
    public double Settle()
    {
        CloseWindow();
        var loudest = Loudest(_windowsAt.Length - 1);
        while (loudest >= 0)
        {
            var near = Windows(loudest, OutlierSteps);
            if (near > OutlierWindows || near * OutlierShare >= Windows(loudest, ActiveSteps))
                return LevelDbfs(EnergyMedian(loudest));
            loudest = Loudest(loudest - OutlierSteps - 1);
        }

        return NoneDbfs;
    }

    private void CloseWindow()
    {
        var levelDbfs = Decibels.FromAmplitude(_peak);
        if (levelDbfs >= QuietestDbfs)
            _windowsAt[(int)Math.Round((Math.Min(levelDbfs, LoudestDbfs) - QuietestDbfs) * StepsPerDb)]++;
        (_peak, _steps) = (0, 0);
    }

    private int Loudest(int from)
    {
        while (from >= 0 && _windowsAt[from] == 0)
            from--;
        return from;
    }

    private int Windows(int loudest, int steps)
    {
        var windows = 0;
        for (var step = Math.Max(0, loudest - steps); step <= loudest; step++)
            windows += _windowsAt[step];
        return windows;
    }

    private int EnergyMedian(int loudest)
    {
        var total = 0.0;
        for (var step = 0; step <= loudest; step++)
            total += Energy(step, loudest);

        var (median, louder) = (loudest, Energy(loudest, loudest));
        while (louder < total / 2)
            louder += Energy(--median, loudest);
        return median;
    }

    private double Energy(int step, int loudest)
    {
        if (_windowsAt[step] == 0)
            return 0;
        var amplitude = Decibels.ToAmplitude((step - loudest) / (double)StepsPerDb);
        return _windowsAt[step] * amplitude * amplitude;
    }

    // Divided, not multiplied by 0.1: the nearest number to the decimal that will be printed.
    private static double LevelDbfs(int step) => (step + (QuietestDbfs * StepsPerDb)) / StepsPerDb;
}
