using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>
/// The true peak of one plane and its place. Only stretches that may hold a new peak are worked out, the most promising first: the result is that of working out all of them.
/// </summary>
internal sealed class TruePeakDetector
{
    private readonly TruePeakInterpolator _interpolator;
    private readonly double[] _samples; // what stretches reach back for, then the newest
    private readonly double[] _bends;
    private readonly double[] _bounds;
    private readonly double[] _silence = new double[Reach];
    private long _firstFrame = -TruePeakInterpolator.FramesAfter; // of the next stretch
    private bool _isQuiet = true;

    /// <param name="interpolator">Keeps nothing, so that several detectors may share one.</param>
    /// <param name="maxFrames">No call brings more.</param>
    public TruePeakDetector(TruePeakInterpolator interpolator, int maxFrames)
    {
        _interpolator = interpolator;
        maxFrames = Math.Max(maxFrames, Reach);
        _samples = new double[Reach + maxFrames];
        _bends = new double[(_samples.Length / TruePeakInterpolator.MaxFrames) + 1];
        _bounds = new double[(maxFrames / TruePeakInterpolator.MaxFrames) + 1];
    }

    /// <summary>By how many frames the search lies behind what was heard.</summary>
    public static int LatencyFrames => TruePeakInterpolator.FramesAfter;

    private static int Reach => TruePeakInterpolator.FramesBefore + TruePeakInterpolator.FramesAfter;

    /// <summary>The largest so far; the last frames heard, <see cref="LatencyFrames"/> of them, are not yet searched.</summary>
    public double Peak { get; private set; }

    /// <summary>The first frame with that peak, on it or before the next; -1 in silence.</summary>
    public long PeakFrame { get; private set; } = -1;

    /// <summary>The largest since somebody last set it to 0.</summary>
    public double RecentPeak { get; set; }

    /// <summary>Hears the next frames.</summary>
    public void Hear(ReadOnlySpan<double> plane, bool isSilent)
    {
        if (isSilent && _isQuiet)
        {
            _firstFrame += plane.Length;
            return;
        }

        _isQuiet = isSilent && plane.Length >= Reach;
        plane.CopyTo(_samples.AsSpan(Reach));
        Search(_samples.AsSpan(0, Reach + plane.Length), plane.Length);
        _samples.AsSpan(plane.Length, Reach).CopyTo(_samples);
        _firstFrame += plane.Length;
    }

    /// <summary>Lets the next frames pass by without a search: what is heard next is searched from where it begins.</summary>
    public void Pass(ReadOnlySpan<double> plane)
    {
        _isQuiet = false;
        var kept = Math.Max(0, Reach - plane.Length);
        _samples.AsSpan(Reach - kept, kept).CopyTo(_samples);
        plane[^(Reach - kept)..].CopyTo(_samples.AsSpan(kept));
        _firstFrame += plane.Length;
    }

    /// <summary>After the last frame: searches to the end, and what rings on behind it.</summary>
    public void End() => Hear(_silence, isSilent: true);

    private void Search(ReadOnlySpan<double> samples, int frames)
    {
        var bounds = _bounds.AsSpan(0, (frames + TruePeakInterpolator.MaxFrames - 1) / TruePeakInterpolator.MaxFrames);
        TruePeakInterpolator.Bounds(samples, _bends, bounds);
        while (true)
        {
            var best = 0;
            for (var index = 1; index < bounds.Length; index++)
            {
                if (bounds[index] > bounds[best])
                    best = index;
            }

            // An equal peak further on would change nothing, but an earlier one its place.
            if (bounds[best] == 0 || bounds[best] < RecentPeak)
                return;
            bounds[best] = 0;
            var first = best * TruePeakInterpolator.MaxFrames;
            Raise(samples[first..], first, Math.Min(TruePeakInterpolator.MaxFrames, frames - first));
        }
    }

    private void Raise(ReadOnlySpan<double> samples, int first, int frames)
    {
        _interpolator.Raise(samples[..(frames + Reach)]);
        for (var eighth = 0; eighth < TruePeakInterpolator.Factor; eighth++)
        {
            var points = _interpolator.Points(eighth, frames);
            var peak = Peaks.Largest(points);
            RecentPeak = Math.Max(RecentPeak, peak);
            if (peak < Peak || peak == 0)
                continue;
            var frame = _firstFrame + first + Peaks.FirstOf(points, peak);
            PeakFrame = peak > Peak ? frame : Math.Min(frame, PeakFrame);
            Peak = peak;
        }
    }
}
