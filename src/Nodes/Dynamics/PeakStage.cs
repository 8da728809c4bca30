using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// Lowers a signal wherever it would pass a ceiling, between its samples too. All channels get one gain. Where nothing comes near the ceiling, the signal leaves as it came, bit for bit.
/// </summary>
internal sealed class PeakStage
{
    private const double DbPerOctave = 6.020599913279624; // 20 log10 2

    // So long before and after a peak lie the samples that a point between them is made of.
    private static readonly int HoldFrames = Math.Max(TruePeakInterpolator.FramesBefore, TruePeakInterpolator.FramesAfter);

    private readonly double _ceiling;
    private readonly ReductionCurve _curve;
    private readonly SampleLines _lines; // a line a channel, and one for what earlier stages have taken
    private readonly TruePeakInterpolator _interpolator = new();
    private readonly int _latencyFrames;
    private readonly int _channels;
    private readonly double[] _bends;
    private readonly double[][] _bounds;
    private readonly double[] _steps;
    private readonly double[] _gain;

    public PeakStage(double ceiling, int attackFrames, double releaseFrames, int channels, int maxFrames)
    {
        _ceiling = ceiling;
        _channels = channels;
        _curve = new(attackFrames, HoldFrames, releaseFrames);
        _latencyFrames = LatencyFrames(attackFrames);
        _lines = new([.. Enumerable.Repeat(_latencyFrames + TruePeakInterpolator.FramesBefore, channels + 1)], maxFrames);
        _bends = new double[((maxFrames + Reach) / TruePeakInterpolator.MaxFrames) + 1];
        _bounds = [.. Enumerable.Range(0, channels).Select(_ => new double[(maxFrames / TruePeakInterpolator.MaxFrames) + 1])];
        (_steps, _gain) = (new double[maxFrames], new double[maxFrames]);
    }

    private static int Reach => TruePeakInterpolator.FramesBefore + TruePeakInterpolator.FramesAfter;

    /// <summary>By how many frames the signal leaves later than it came.</summary>
    public static int LatencyFrames(int attackFrames) => TruePeakInterpolator.FramesAfter + ReductionCurve.LatencyFrames(attackFrames, HoldFrames);

    /// <summary>Works on the next block in place.</summary>
    /// <param name="takenDb">What earlier stages have taken of each frame; what this one takes is added, and it is held back like the signal.</param>
    public void Process(Signal signal, Span<double> takenDb)
    {
        var frames = signal.Frames;
        for (var channel = 0; channel < _channels; channel++)
            signal[channel].CopyTo(_lines.Frames(channel, frames));
        takenDb.CopyTo(_lines.Frames(_channels, frames));

        var steps = _steps.AsSpan(0, frames);
        var isNeeded = FindNeeds(steps);
        for (var channel = 0; channel < _channels; channel++)
            _lines.Frames(channel, frames, _latencyFrames).CopyTo(signal[channel]);
        _lines.Frames(_channels, frames, _latencyFrames).CopyTo(takenDb);
        if (isNeeded || !_curve.IsAtRest)
            Lower(signal, takenDb, steps);
        _lines.Advance(frames);
    }

    private void Lower(Signal signal, Span<double> takenDb, Span<double> steps)
    {
        _curve.Draw(steps);
        Planes.AddScaled(steps, 1, takenDb);
        var gain = _gain.AsSpan(0, steps.Length);
        Planes.Scale(steps, -1 / DbPerOctave, gain);
        PortableMath.Exp2(gain, gain);
        for (var channel = 0; channel < _channels; channel++)
            Planes.Multiply(signal[channel], gain, signal[channel]);
    }

    /// <summary>By how much each frame of the block that now has all that its points are made of passes the ceiling, up to the next frame, in steps.</summary>
    private bool FindNeeds(Span<double> steps)
    {
        steps.Clear();
        var stretches = (steps.Length + TruePeakInterpolator.MaxFrames - 1) / TruePeakInterpolator.MaxFrames;
        for (var channel = 0; channel < _channels; channel++)
            TruePeakInterpolator.Bounds(Around(channel, 0, steps.Length), _bends, _bounds[channel].AsSpan(0, stretches));

        var isNeeded = false;
        for (var stretch = 0; stretch < stretches; stretch++)
        {
            var start = stretch * TruePeakInterpolator.MaxFrames;
            var levels = steps.Slice(start, Math.Min(TruePeakInterpolator.MaxFrames, steps.Length - start));
            for (var channel = 0; channel < _channels; channel++)
            {
                if (_bounds[channel][stretch] <= _ceiling)
                    continue;
                _interpolator.Raise(Around(channel, start, levels.Length));
                for (var eighth = 0; eighth < TruePeakInterpolator.Factor; eighth++)
                    Peaks.Raise(levels, _interpolator.Points(eighth, levels.Length));
            }

            foreach (ref var level in levels)
            {
                isNeeded |= level > _ceiling;
                level = level > _ceiling ? Math.Ceiling(DbPerOctave * PortableMath.Log2(level / _ceiling) * ReductionCurve.StepsPerDb) : 0;
            }
        }

        return isNeeded;
    }

    // What points from so many frames into the block on are made of; the newest samples are the last that they need.
    private ReadOnlySpan<double> Around(int channel, int start, int frames) => _lines.Frames(channel, frames + Reach, Reach - start);
}
