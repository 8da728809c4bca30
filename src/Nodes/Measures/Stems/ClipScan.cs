namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>Counts the places where a plane stays at full scale: five samples in a row within one 16-bit step of it, or past it. A single peak at full scale is none.</summary>
internal sealed class ClipScan
{
    private const double FullScale = 1 - (1.0 / 32768);
    private const int LeastRun = 5;

    private int _run;

    /// <summary>How many places there were.</summary>
    public long Places { get; private set; }

    /// <summary>The song's frame at which the first one begins.</summary>
    public long? FirstFrame { get; private set; }

    /// <summary>Scans the next frames.</summary>
    /// <param name="peak">Their largest absolute sample: most blocks need no scan.</param>
    public void Add(long startFrame, ReadOnlySpan<double> samples, double peak)
    {
        if (peak < FullScale)
        {
            _run = 0;
            return;
        }

        for (var frame = 0; frame < samples.Length; frame++)
        {
            _run = Math.Abs(samples[frame]) >= FullScale ? _run + 1 : 0;
            if (_run != LeastRun)
                continue;
            Places++;
            FirstFrame ??= startFrame + frame - LeastRun + 1;
        }
    }
}
