using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>How a stereo key steers a stereo signal.</summary>
public enum KeyLink
{
    /// <summary>The louder channel steers both, so the picture does not move.</summary>
    Linked,

    /// <summary>Left steers left, right steers right.</summary>
    PerChannel,
}

/// <summary>What a duck is asked to do.</summary>
/// <param name="RangeDb">Largest reduction.</param>
/// <param name="KeyHighPassHz">Null: the key's lows are heard.</param>
/// <param name="KeyLowPassHz">Null: the key's highs are heard.</param>
public sealed record DuckParameters(
    double ThresholdDbfs, double Ratio, double KneeDb, double AttackMs, double HoldMs, double ReleaseMs, double RangeDb, double LookaheadMs,
    double? KeyHighPassHz, double? KeyLowPassHz, KeyLink Link)
{
    /// <summary>Reads them.</summary>
    public static DuckParameters Read(IParameterSource source)
    {
        var parameters = new DuckParameters(
            source.Number(nameof(ThresholdDbfs), -80, 0, -24, "Key level at the middle of the knee."),
            source.Number(nameof(Ratio), 1, 1000, 4, "How many dB the key rises for one dB that would be left of it; 100 and more is a limiter's."),
            source.Number(nameof(KneeDb), 0, 24, 6, "Width of the zone around the threshold in which the ratio sets in."),
            source.Number(nameof(AttackMs), 0.1, 500, 5, "Time in which 63 % of the way down is covered."),
            source.Number(nameof(HoldMs), 0, 1000, 0, "Time for which the reduction stays before it is released."),
            source.Number(nameof(ReleaseMs), 1, 5000, 120, "Time in which 63 % of the way up is covered, and about one attack more."),
            source.Number(nameof(RangeDb), 0, 60, 24, "Largest reduction, however loud the key."),
            source.Number(nameof(LookaheadMs), 0, 50, 0, "How long before the key's sound the signal begins to fall."),
            source.OptionalFrequencyHz(nameof(KeyHighPassHz), 20, 20000, "Key is heard from here up, 12 dB an octave; left out, all of it."),
            source.OptionalFrequencyHz(nameof(KeyLowPassHz), 20, 20000, "Key is heard from here down, 12 dB an octave; left out, all of it."),
            source.Choice(nameof(Link), KeyLink.Linked, "Whether the louder channel of a stereo key steers both sides, or each steers its own."));
        if (parameters.KeyHighPassHz >= parameters.KeyLowPassHz)
            source.Refuse(nameof(KeyHighPassHz), "keyHighPassHz is not below keyLowPassHz, so no key is left to hear", "Lower keyHighPassHz or raise keyLowPassHz");
        return parameters;
    }
}

/// <summary>
/// Lowers a signal while a key is loud: a feed-forward compressor with another signal at its detector, after Giannoulis, Massberg and Reiss,
/// "Digital dynamic range compressor design", J. Audio Eng. Soc. 60(6), 2012. The level is that of each sample, floored at -120 dBFS, the
/// reduction that of <see cref="GainComputer"/>, smoothed by <see cref="SmoothDecoupledDetector"/>, and the gain that reduction in dB.
/// No reduction leaves the signal bit for bit. The key comes earlier by the look-ahead.
/// Ducks in a group that are alike and hear the same key work their gain out once.
/// </summary>
public sealed class DuckNode(DuckParameters parameters) : ILaneNode, IFigureSource
{
    private Ducking _ducking = null!;

    /// <summary>Its type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "duck", 1,
        "Lowers the whole signal while the key is loud: a compressor that listens to another signal. It never lifts anything, and a quiet key changes nothing.",
        [Port.Input, Port.Key], DuckParameters.Read, parameters => new DuckNode(parameters));

    /// <inheritdoc/>
    public string LaneKind => "duck";

    /// <inheritdoc/>
    public bool CanRunInRow => false;

    /// <inheritdoc/>
    public IReadOnlyList<Figure> Figures => _ducking.Figures;

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public int KeyLeadFrames(int sampleRateHz) => (int)Math.Round(parameters.LookaheadMs * sampleRateHz / 1000);

    /// <inheritdoc/>
    public void Prepare(NodeFormat format) => _ducking = new(parameters, format, [0]);

    /// <inheritdoc/>
    public void Process(in Block block) => _ducking.Process(block.StartFrame, block.Inputs, [block.Output]);

    /// <inheritdoc/>
    public ILaneGroup Join(IReadOnlyList<Lane> lanes) => new Group(lanes
        .Select((lane, index) => (Lane: lane, Index: index, Node: (DuckNode)lane.Row[0]))
        .GroupBy(member => (member.Node.Parameters, Key: member.Lane.Sources[1], member.Lane.Format.OutputChannels))
        .Select(alike =>
        {
            var (lane, _, first) = alike.First();
            var ducking = new Ducking(first.Parameters, lane.Format, [.. alike.Select(member => member.Index)]);
            foreach (var member in alike)
                member.Node._ducking = ducking;
            return ducking;
        }));

    private DuckParameters Parameters => parameters;

    private sealed class Group(IEnumerable<Ducking> duckings) : ILaneGroup
    {
        private readonly Ducking[] _duckings = [.. duckings];

        public void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs)
        {
            foreach (var ducking in _duckings)
                ducking.Process(startFrame, inputs, outputs);
        }
    }

    /// <summary>One gain, and the lanes that it lowers.</summary>
    private sealed class Ducking
    {
        // Reduction that counts as being at work: about the least difference in level that is heard. Common practice, no source.
        private const double ActiveDb = 0.1;

        private const double DbPerOctave = 6.020599913279624; // 20 log10 2
        private const double FilterQ = 0.7071067811865476; // Butterworth
        private const int StretchFrames = 512; // what lies in the nearest cache while several passes go over it
        private const int InputsPerLane = 2;

        private readonly int[] _lanes;
        private readonly double[] _gain = new double[StretchFrames];
        private readonly GainComputer _computer;
        private readonly Steering[] _steerings;
        private readonly SectionCascade? _keyFilter;
        private readonly Signal _key;
        private readonly double _quietAmplitude;
        private double _deepestDb;
        private long _frames, _activeFrames;

        public Ducking(DuckParameters parameters, NodeFormat format, int[] lanes)
        {
            var rate = format.SampleRateHz;
            var keyChannels = format.Inputs[1].Channels;
            _computer = new(parameters.ThresholdDbfs, parameters.Ratio, parameters.KneeDb, parameters.RangeDb);

            // A little below the knee, so that rounding cannot tell a key that is skipped from one that is worked out.
            _quietAmplitude = Decibels.ToAmplitude(_computer.KneeStartDb - 0.001);

            var isSplit = parameters.Link == KeyLink.PerChannel && keyChannels == 2 && format.OutputChannels == 2;
            _steerings = isSplit
                ? [new(parameters, rate, [0], [0]), new(parameters, rate, [1], [1])]
                : [new(parameters, rate, [.. Enumerable.Range(0, keyChannels)], [.. Enumerable.Range(0, format.OutputChannels)])];

            List<Section> filter = [];
            if (parameters.KeyHighPassHz is { } highPassHz)
                filter.Add(SectionDesign.HighPass(highPassHz, FilterQ, rate));
            if (parameters.KeyLowPassHz is { } lowPassHz)
                filter.Add(SectionDesign.LowPass(lowPassHz, FilterQ, rate));
            _keyFilter = filter.Count == 0 ? null : new(filter);
            _key = Signal.Allocate(keyChannels, filter.Count == 0 ? 0 : format.MaxBlockFrames);

            _lanes = lanes;
        }

        public IReadOnlyList<Figure> Figures =>
            [new("deepestCutDb", _deepestDb), new("activeFraction", _frames == 0 ? null : (double)_activeFrames / _frames)];

        public void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs)
        {
            var frames = outputs[_lanes[0]].Frames;
            var key = inputs[(_lanes[0] * InputsPerLane) + 1];
            if (_keyFilter is not null)
            {
                _keyFilter.Process(startFrame, key, _key.Slice(0, frames));
                key = _key.Slice(0, frames);
            }

            for (var start = 0; start < frames; start += StretchFrames)
            {
                var count = Math.Min(StretchFrames, frames - start);
                foreach (var steering in _steerings)
                {
                    var gain = _gain.AsSpan(0, count);
                    var isLowered = WorkOut(steering, key.Slice(start, count), gain);
                    foreach (var lane in _lanes)
                    {
                        var signal = inputs[lane * InputsPerLane].Slice(start, count);
                        var output = outputs[lane].Slice(start, count);
                        foreach (var channel in steering.SignalChannels)
                        {
                            if (isLowered)
                                Planes.Multiply(signal[channel], gain, output[channel]);
                            else
                                signal[channel].CopyTo(output[channel]);
                        }
                    }
                }
            }

            _frames += frames * _steerings.Length;
        }

        // False if it is 1 throughout.
        private bool WorkOut(Steering steering, Signal key, Span<double> gain)
        {
            if (steering.IsAtRest && steering.Peak(key) < _quietAmplitude)
                return false;

            var reductionDb = gain;
            steering.Level(key, reductionDb);
            PortableMath.Log2(reductionDb, reductionDb);
            Planes.Scale(reductionDb, DbPerOctave, reductionDb);
            _computer.ReductionDb(reductionDb, reductionDb);
            steering.Smooth(reductionDb);
            _deepestDb = Peaks.Largest(reductionDb, _deepestDb);
            _activeFrames += Peaks.CountAbove(reductionDb, ActiveDb);

            Planes.Scale(reductionDb, -1 / DbPerOctave, gain);
            PortableMath.Exp2(gain, gain);
            return true;
        }
    }

    /// <summary>One detector: the key channels it hears and the signal channels it steers.</summary>
    private sealed class Steering(DuckParameters parameters, int sampleRateHz, int[] keyChannels, int[] signalChannels)
    {
        private const double LevelFloor = 1e-6; // -120 dBFS

        private readonly SmoothDecoupledDetector _detector =
            new(parameters.AttackMs * sampleRateHz / 1000, parameters.ReleaseMs * sampleRateHz / 1000);

        private readonly SlidingMaximum _hold = new((int)Math.Round(parameters.HoldMs * sampleRateHz / 1000) + 1);
        private double _heldDb;

        public int[] SignalChannels => signalChannels;

        /// <summary>Nothing is being reduced or held, so a key that asks for nothing need not be worked out.</summary>
        public bool IsAtRest => _heldDb == 0 && _detector.IsAtRest;

        public double Peak(Signal key)
        {
            var peak = 0.0;
            foreach (var channel in keyChannels)
                peak = Peaks.Largest(key[channel], peak);
            return peak;
        }

        /// <summary>The louder channel's absolute samples, floored.</summary>
        public void Level(Signal key, Span<double> level)
        {
            level.Fill(LevelFloor);
            foreach (var channel in keyChannels)
                Peaks.Raise(level, key[channel]);
        }

        /// <summary>Holds and smooths.</summary>
        public void Smooth(Span<double> reductionDb)
        {
            if (parameters.HoldMs > 0)
            {
                foreach (ref var reduction in reductionDb)
                    reduction = _hold.Next(reduction);
                _heldDb = reductionDb[^1];
            }

            _detector.Smooth(reductionDb);
        }
    }
}
