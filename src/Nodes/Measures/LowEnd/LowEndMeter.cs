using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Spectra;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures.LowEnd;

/// <summary>
/// The low end of one signal, in one pass with the render: the figures of <see cref="StemLowEnd"/>, from the same windows. At the anchor's hits, the windows are those of <see cref="CollisionMap"/>.
/// </summary>
/// <param name="measures">The names of those that are wanted.</param>
/// <param name="atHits">Whether only the anchor's hits count.</param>
public sealed class LowEndMeter(IReadOnlySet<string> measures, bool atHits) : IMeter
{
    private const string Subsonic = "subsonicDbfs", SubsonicShare = "subsonicShare", Dc = "dcDbfs", MonoLoss = "monoLossDb";
    private const double SilenceDbfs = -200;
    private const string OfHits = "The same of 0.17 s from each of the anchor's hits on, under a raised cosine.";

    /// <summary>The stretches whose level is measured.</summary>
    private static readonly (string Measure, Band Band)[] Levels =
    [
        ("lowEndDbfs", new("20-300 Hz", ErbScale.LowestHz, ErbScale.HighestHz)), ("level20To30Dbfs", BandLevels.Bands[0]), ("level30To60Dbfs", BandLevels.Bands[1]),
        ("level60To120Dbfs", BandLevels.Bands[2]), ("level120To300Dbfs", BandLevels.Bands[3]), (Subsonic, new("below 20 Hz", 0, ErbScale.LowestHz)),
    ];

    private readonly bool _hasSpectra = measures.Any(measure => measure != Dc);
    private readonly bool _hasDc = measures.Contains(Dc);

    private LowBand _band;
    private SpectralFrame _frame = null!;
    private SpectralFrame.Worker _worker = null!;
    private LowBandStream _stream = null!;
    private double[][] _shares = [];
    private double[] _samples = [], _real = [], _imaginary = [], _midReal = [], _midImaginary = [], _powers = [];
    private double[] _sums = [], _loudest = []; // of each level
    private long[] _loudestWindow = [];
    private PlaneSum[] _offsets = []; // of each channel
    private double _mid, _mostLost;
    private bool _isHeard;
    private IReadOnlyList<long>? _hits;
    private long _windows, _mostLostWindow;

    /// <summary>The type.</summary>
    public static MeterType Type { get; } = new(
        "lowEnd", [MeterPort.Measured],
        [
            new("lowEndDbfs", "Mean level from 20 to 300 Hz; a full-scale sine has -3.0.") { AtHits = OfHits },
            .. Levels.Skip(1).Take(4).Select(level => new MeasureType(level.Measure, $"The same from {level.Band.FromHz:0} to {level.Band.ToHz:0} Hz.") { AtHits = OfHits }),
            new(Subsonic, "The same from 6 to 20 Hz.") { NotAtHits = "0.17 s are too short for less than 20 Hz" },
            new(SubsonicShare, "How much of the power from 6 to 300 Hz lies below 20 Hz, 0 to 1.") { NotAtHits = "0.17 s are too short for less than 20 Hz" },
            new(Dc, "Constant offset: the mean of all samples, of two channels that of the one further from 0.") { NotAtHits = "an offset is that of the whole signal" },
            new(MonoLoss, "What the low end, 20 to 300 Hz, loses when it is played in mono: the level of (left + right) / 2 over the mean of both; 0 or less.") { AtHits = OfHits },
        ],
        wanted => new LowEndMeter(wanted, atHits: false)) { IsOfLowEnd = true, CreateAtHits = wanted => new LowEndMeter(wanted, atHits: true) };

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        var channels = format.Channels[0];
        _band = LowBand.Of(format.SampleRateHz);
        _frame = new(atHits ? CollisionMap.WindowSeconds : LowEndMap.WindowSeconds, _band.SampleRateHz);
        _worker = _frame.NewWorker();
        _hits = atHits ? format.Anchor?.HitFrames : null;
        _stream = new(_band, format.SampleRateHz, channels, _frame.WindowFrames, format.MaxBlockFrames, atHits ? [.. (_hits ?? []).Select(frame => _band.Nearest(frame))] : null);
        _shares = [.. Levels.Select(level => _frame.Shares(level.Band.FromHz, level.Band.ToHz))];
        _samples = new double[_frame.WindowFrames];
        (_real, _imaginary) = (new double[_frame.BinCount], new double[_frame.BinCount]);
        (_midReal, _midImaginary, _powers) = (new double[_frame.BinCount], new double[_frame.BinCount], new double[_frame.BinCount]);
        (_sums, _loudest, _loudestWindow) = (new double[Levels.Length], new double[Levels.Length], new long[Levels.Length]);
        _offsets = [.. Enumerable.Range(0, channels).Select(_ => new PlaneSum())];
        (_mid, _mostLost, _windows, _mostLostWindow, _isHeard) = (0, 0, 0, 0, false);
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        for (var channel = 0; channel < _offsets.Length && !_isHeard; channel++)
            _isHeard = heard[0][channel].ContainsAnyExcept(0.0);
        if (_hasDc)
        {
            for (var channel = 0; channel < _offsets.Length; channel++)
                _offsets[channel].Add(heard[0][channel]);
        }

        if (!_hasSpectra)
            return;
        _stream.Hear(heard[0]);
        while ((!atHits || _windows < HitCount) && StartOf(_windows) + _frame.WindowFrames <= _stream.ReadyFrames)
            Look();
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude()
    {
        if (_hasSpectra)
        {
            _stream.Finish();

            // As many as begin before the end, and one half before the start, so that every frame counts alike.
            for (var windows = atHits ? HitCount : (_stream.ReadyFrames / Hop) + 1; _windows < windows;)
                Look();
        }

        return [.. Type.Measures.Where(measure => measures.Contains(measure.Name)).Select(measure => Conclude(measure.Name))];
    }

    private int Hop => _frame.WindowFrames / 2;

    private int HitCount => _hits?.Count ?? 0;

    private long StartOf(long window) => atHits ? _band.Nearest(_hits![(int)window]) : (window - 1) * Hop;

    private void Look()
    {
        Array.Clear(_powers);
        Array.Clear(_midReal);
        Array.Clear(_midImaginary);
        for (var channel = 0; channel < _stream.Channels; channel++)
        {
            _stream.Read(channel, StartOf(_windows), _samples);
            if (!_worker.Of(_samples, _real, _imaginary))
                continue;
            for (var bin = 0; bin < _powers.Length; bin++)
                _powers[bin] += ((_real[bin] * _real[bin]) + (_imaginary[bin] * _imaginary[bin])) / _stream.Channels;
            Planes.AddScaled(_real, 1.0 / _stream.Channels, _midReal);
            Planes.AddScaled(_imaginary, 1.0 / _stream.Channels, _midImaginary);
        }

        for (var level = 0; level < _shares.Length; level++)
        {
            var power = Weighted(_shares[level], _powers);
            _sums[level] += power;
            if (power > _loudest[level])
                (_loudest[level], _loudestWindow[level]) = (power, _windows);
        }

        var lowEnd = Weighted(_shares[0], _powers);
        for (var bin = 0; bin < _powers.Length; bin++)
            _powers[bin] = (_midReal[bin] * _midReal[bin]) + (_midImaginary[bin] * _midImaginary[bin]);
        var mid = Weighted(_shares[0], _powers);
        _mid += mid;
        if (lowEnd - mid > _mostLost)
            (_mostLost, _mostLostWindow) = (lowEnd - mid, _windows);
        _windows++;
    }

    private static double Weighted(double[] shares, double[] powers)
    {
        var sum = 0.0;
        for (var bin = 0; bin < shares.Length; bin++)
            sum += shares[bin] * powers[bin];
        return sum;
    }

    private Measurement Conclude(string measure)
    {
        if (!_isHeard)
            return Measurement.None(measure, "it is silent");
        if (atHits && HitCount == 0)
            return Measurement.None(measure, _hits is null ? "nobody looked for the anchor's hits" : "the anchor does not hit here");
        switch (measure)
        {
            case Dc:
                var offset = _offsets.Max(offset => Math.Abs(offset.Value)) / _offsets[0].Count;
                return new(measure, LevelDbfs(offset * offset));
            case SubsonicShare:
                var (below, above) = (_sums[^1], _sums[0]);
                return below + above > 0 ? new(measure, below / (below + above), AtFrame: MiddleOf(_loudestWindow[^1])) : Measurement.None(measure, Nothing);
            case MonoLoss:
                if (LevelDbfs(Power(_sums[0])) <= SilenceDbfs)
                    return Measurement.None(measure, Nothing);
                var lossDb = Math.Min(0, Math.Max(SilenceDbfs, Decibels.FromPower(Power(_mid)) - Decibels.FromPower(Power(_sums[0]))));
                return new(measure, lossDb, AtFrame: _mostLost > 0 ? MiddleOf(_mostLostWindow) : null);
            default:
                var index = Array.FindIndex(Levels, level => level.Measure == measure);
                return new(measure, LevelDbfs(Power(_sums[index])), AtFrame: _loudest[index] > 0 ? MiddleOf(_loudestWindow[index]) : null);
        }

        double Power(double sum) => sum / Math.Max(1, _windows);
    }

    private const string Nothing = "there is nothing in the band above -200 dBFS";

    // What is not there has a level too, so that a gate that forbids it can hold.
    private static double LevelDbfs(double power) => Math.Max(SilenceDbfs, Decibels.FromPower(power));

    // The song's frame in the middle of a window; a hit's own.
    private long MiddleOf(long window) => atHits ? _hits![(int)window] : Math.Clamp(window * Hop * _band.Factor, 0, Math.Max(0, _stream.HeardFrames - 1));
}
