using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Measures.Loudness;

namespace RenderGraph.Nodes.Measures.Limiting;

/// <summary>
/// How loud a sound can be made with a stated work of the limiter: driven into <see cref="LimitNode"/> until in a twentieth of all frames at least 3 dB are taken. Two sounds are then compared at the same ceiling and the
/// same work. It hears an output before its own loudness and ceiling, and finds the drive and the loudness from <see cref="DriveBank"/>; under another ceiling both are as much lower as the ceiling is.
/// </summary>
/// <param name="measures">The names of those that are wanted.</param>
public sealed class LimitedLoudnessMeter(IReadOnlySet<string> measures) : IMeter
{
    /// <summary>The measure of the loudness.</summary>
    public const string Loudness = "limitedLufs";

    /// <summary>The measure of the drive.</summary>
    public const string Drive = "limiterDriveDb";

    /// <summary>The reduction that is reached or passed in a twentieth of all frames. Common practice, no source: a limiter that works, but is hardly heard.</summary>
    public const double WorkDb = 3;

    private const double WorkFraction = 0.05;
    private const double DbPerOctave = 6.020599913279624; // 20 log10(2)
    private const double SilenceDbfs = -1000;
    private const double LeastSeconds = 0.4;
    private const string NotThere = "a limiter works on the whole song";

    private int _rateHz, _slotStride, _slotFrames;
    private IReadOnlyList<double> _weights = [];
    private long _frames, _slots, _slotEndFrame;
    private double[][] _lines = []; // of each channel what points reach back for, then the slot
    private double[] _bends = [], _bounds = [];
    private readonly TruePeakInterpolator _interpolator = new();
    private SectionCascade _weighting = null!;
    private Signal _weighted, _slot, _weightedSlot;
    private DriveBank _bank = null!;

    /// <summary>The type.</summary>
    public static MeterType Type { get; } = new(
        "limitedLoudness", [MeterPort.Measured, MeterPort.Source],
        [
            new(Loudness, "Integrated loudness that a limiter with a ceiling of 0 dBTP would give if it were driven until it takes 3 dB or more in a twentieth of the song.") { NotAtHits = NotThere },
            new(Drive, "The gain with which it would be driven so.") { NotAtHits = NotThere },
        ],
        wanted => new LimitedLoudnessMeter(wanted));

    /// <summary>All its measures.</summary>
    public static IReadOnlyList<string> Names { get; } = [Loudness, Drive];

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        _rateHz = format.SampleRateHz;
        _weights = ChannelWeights.Of(format.Channels[1]);
        (_frames, _slots, _slotFrames) = (0, 0, 0);
        _slotEndFrame = SlotEdge(1);
        _slotStride = (_rateHz / DriveBank.SlotsPerSecond) + 1;
        _lines = [.. _weights.Select(_ => new double[Reach + _slotStride])];
        (_bends, _bounds) = (new double[((Reach + _slotStride) / TruePeakInterpolator.MaxFrames) + 1], new double[(_slotStride / TruePeakInterpolator.MaxFrames) + 1]);
        (_slot, _weightedSlot) = (Signal.Allocate(_weights.Count, _slotStride), Signal.Allocate(_weights.Count, _slotStride));
        _weighted = Signal.Allocate(_weights.Count, format.MaxBlockFrames);
        _weighting = new(KWeighting.Sections(_rateHz));
        _bank = new(WorkDb, WorkFraction);
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        var signal = heard[1];
        var weighted = _weighted.Slice(0, signal.Frames);
        if (signal.IsSilent && _weighting.IsAtRest)
            weighted.Clear();
        else
            _weighting.Process(_frames, signal, weighted);
        for (var start = 0; start < signal.Frames;)
        {
            var count = (int)Math.Min(_slotEndFrame - _frames, signal.Frames - start);
            signal.Slice(start, count).CopyTo(_slot.Slice(_slotFrames, count));
            weighted.Slice(start, count).CopyTo(_weightedSlot.Slice(_slotFrames, count));
            _slotFrames += count;
            _frames += count;
            start += count;
            if (_frames == _slotEndFrame)
                EndSlot();
        }
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude()
    {
        _bank.End(SilenceDbfs);
        var found = _bank.Find();
        var reason = _frames < LeastSeconds * _rateHz
            ? string.Create(CultureInfo.InvariantCulture, $"it lasts {(double)_frames / _rateHz:0.###} s, and {LeastSeconds} s are needed")
            : "it is too soft, or too seldom loud, for a limiter to do that much";
        return
        [
            .. from measure in Type.Measures
               where measures.Contains(measure.Name)
               select found is { } at && _frames >= LeastSeconds * _rateHz
                   ? new Measurement(measure.Name, measure.Name == Loudness ? at.Lufs : at.DriveDb) : Measurement.None(measure.Name, reason),
        ];
    }

    private void EndSlot()
    {
        var (peak, energy) = (0.0, 0.0);
        for (var channel = 0; channel < _weights.Count; channel++)
        {
            peak = Math.Max(peak, PeakOf(_lines[channel], _slot[channel][.._slotFrames]));
            energy += _weights[channel] * Energy.Of(_weightedSlot[channel][.._slotFrames]);
        }

        _bank.Hear(peak > 0 ? DbPerOctave * PortableMath.Log2(peak) : SilenceDbfs, energy / _slotFrames);
        _slots++;
        _slotEndFrame = SlotEdge(_slots + 1);
        _slotFrames = 0;
    }

    private static int Reach => TruePeakInterpolator.FramesBefore + TruePeakInterpolator.FramesAfter;

    /// <summary>The highest point of as many frames as the slot has, so far back that all that its points are made of is there.</summary>
    private double PeakOf(double[] line, ReadOnlySpan<double> slot)
    {
        slot.CopyTo(line.AsSpan(Reach));
        var peak = Peaks.Largest(line.AsSpan(TruePeakInterpolator.FramesBefore, slot.Length));
        var bounds = _bounds.AsSpan(0, (slot.Length + TruePeakInterpolator.MaxFrames - 1) / TruePeakInterpolator.MaxFrames);
        TruePeakInterpolator.Bounds(line.AsSpan(0, Reach + slot.Length), _bends, bounds);
        for (var stretch = 0; stretch < bounds.Length; stretch++)
        {
            if (bounds[stretch] <= _bank.Threshold)
                continue;
            var start = stretch * TruePeakInterpolator.MaxFrames;
            var frames = Math.Min(TruePeakInterpolator.MaxFrames, slot.Length - start);
            _interpolator.Raise(line.AsSpan(start, frames + Reach));
            for (var eighth = 1; eighth < TruePeakInterpolator.Factor; eighth++)
                peak = Peaks.Largest(_interpolator.Points(eighth, frames), peak);
        }

        line.AsSpan(slot.Length, Reach).CopyTo(line);
        return peak;
    }

    private long SlotEdge(long slot) => slot * _rateHz / DriveBank.SlotsPerSecond;
}
