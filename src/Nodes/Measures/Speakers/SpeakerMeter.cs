using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Loudness;

namespace RenderGraph.Nodes.Measures.Speakers;

/// <summary>
/// How loud a sound still is on small speakers: its integrated loudness (ITU-R BS.1770-5, both gates) through the model of each <see cref="SmallSpeaker"/>. Weighting and model are linear, so the weighted sound goes through the model.
/// </summary>
/// <param name="measures">The names of those that are wanted; the work for others is spared.</param>
public sealed class SpeakerMeter(IReadOnlySet<string> measures) : IMeter
{
    private const int HopsPerSecond = 100, WindowHops = 40, StepHops = 10;
    private const double GateLu = 10;
    private const string NotThere = "a speaker is judged by all that it plays";

    // The whole comes first, then the speakers.
    private readonly List<double> _corners = [.. SmallSpeaker.CornersHz.Where(hz => measures.Contains(Loudness(hz)) || measures.Contains(Loss(hz)))];

    private int _rateHz, _hopStride, _hopFrames;
    private IReadOnlyList<double> _weights = [];
    private long _frames, _hops, _hopEndFrame;
    private bool _isHopSilent;
    private double[] _hopSamples = [];
    private bool[] _silence = [];
    private SectionBank _weighting = null!, _speakers = null!;
    private Signal[] _filtered = [], _inputs = [], _outputs = [];
    private Signal[] _weighted = [], _heard = [];
    private double[][] _energies = []; // of the last hops, a ring each
    private LoudnessHistogram[] _windows = [];

    /// <summary>The type.</summary>
    public static MeterType Type { get; } = new(
        "speaker", [MeterPort.Measured],
        [
            .. SmallSpeaker.CornersHz.Select(hz => new MeasureType(
                Loudness(hz), Invariant($"Integrated loudness on a small speaker: through a 4th-order Butterworth high-pass at {hz} Hz, as a vented box falls below its corner.")) { NotAtHits = NotThere }),
            .. SmallSpeaker.CornersHz.Select(hz => new MeasureType(
                Loss(hz), Invariant($"By how much the integrated loudness is lower on that speaker than it is in full: what of the sound lies below {hz} Hz is not heard there.")) { NotAtHits = NotThere }),
        ],
        wanted => new SpeakerMeter(wanted)) { IsUsual = false };

    /// <summary>All its measures.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. Type.Measures.Select(measure => measure.Name)];

    /// <summary>The measure of how loud a sound is on the speaker with that corner.</summary>
    public static string Loudness(double cornerHz) => Invariant($"speaker{cornerHz}Lufs");

    /// <summary>The measure of how much softer it is there than in full.</summary>
    public static string Loss(double cornerHz) => Invariant($"speaker{cornerHz}LossLu");

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        _rateHz = format.SampleRateHz;
        _weights = ChannelWeights.Of(format.Channels[0]);
        var channels = _weights.Count;
        (_frames, _hops, _hopFrames, _isHopSilent) = (0, 0, 0, true);
        _hopEndFrame = HopEdge(1);
        _hopStride = (_rateHz / HopsPerSecond) + 1;
        _hopSamples = new double[channels * _hopStride];
        _weighting = new([(channels, KWeighting.Sections(_rateHz))]);
        _speakers = new([.. _corners.Select(hz => (channels, SmallSpeaker.Sections(hz, _rateHz)))]);
        var count = _corners.Count + 1;
        var planes = new double[count * channels * _hopStride];
        _silence = new bool[count + 1];
        _filtered = [.. Enumerable.Range(0, count).Select(index => new Signal(planes, index * channels * _hopStride, _hopStride, channels, _hopStride, _silence, index))];
        (_inputs, _outputs, _weighted, _heard) = (new Signal[1], new Signal[1], new Signal[count - 1], new Signal[count - 1]);
        _energies = [.. Enumerable.Range(0, count).Select(_ => new double[WindowHops])];
        _windows = [.. Enumerable.Range(0, count).Select(_ => new LoudnessHistogram())];
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        var signal = heard[0];
        for (var start = 0; start < signal.Frames;)
        {
            var count = (int)Math.Min(_hopEndFrame - _frames, signal.Frames - start);
            for (var channel = 0; channel < signal.Channels; channel++)
                signal[channel].Slice(start, count).CopyTo(_hopSamples.AsSpan((channel * _hopStride) + _hopFrames));
            _isHopSilent &= signal.IsSilent;
            _hopFrames += count;
            _frames += count;
            start += count;
            if (_frames == _hopEndFrame)
                EndHop();
        }
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude() => [.. Type.Measures.Where(measure => measures.Contains(measure.Name)).Select(measure => Conclude(measure.Name))];

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);

    private void EndHop()
    {
        var hop = new Signal(_hopSamples, 0, _hopStride, _weights.Count, _hopFrames, _silence, _filtered.Length) { IsSilent = _isHopSilent };
        var (firstFrame, place) = (_frames - _hopFrames, (int)(_hops % WindowHops));
        for (var index = 0; index < _filtered.Length; index++)
        {
            var filtered = _filtered[index].Slice(0, _hopFrames);
            filtered.IsSilent = false;
            if (index == 0)
                _outputs[0] = filtered;
            else
                _heard[index - 1] = filtered;
        }

        _inputs[0] = hop;
        _weighting.Process(firstFrame, _inputs, _outputs);
        Array.Fill(_weighted, _outputs[0]);
        _speakers.Process(firstFrame, _weighted, _heard);
        _energies[0][place] = WeightedEnergy(_outputs[0]);
        for (var index = 0; index < _heard.Length; index++)
            _energies[index + 1][place] = WeightedEnergy(_heard[index]);

        _hops++;
        _hopEndFrame = HopEdge(_hops + 1);
        (_hopFrames, _isHopSilent) = (0, true);
        if (_hops < WindowHops || _hops % StepHops != 0)
            return;
        var (oldest, frames) = ((int)(_hops % WindowHops), HopEdge(_hops) - HopEdge(_hops - WindowHops));
        for (var index = 0; index < _windows.Length; index++)
            _windows[index].Add((Energy.Sum(_energies[index].AsSpan(oldest)) + Energy.Sum(_energies[index].AsSpan(0, oldest))) / frames);
    }

    private double WeightedEnergy(Signal weighted)
    {
        var energy = 0.0;
        if (weighted.IsSilent)
            return energy;
        for (var channel = 0; channel < _weights.Count; channel++)
            energy += _weights[channel] * Energy.Of(weighted[channel]);
        return energy;
    }

    private Measurement Conclude(string measure)
    {
        if (_hops < WindowHops)
            return Measurement.None(measure, string.Create(CultureInfo.InvariantCulture, $"it lasts {(double)_frames / _rateHz:0.###} s, and {(double)WindowHops / HopsPerSecond} s are needed"));
        var corner = _corners.FindIndex(hz => measure == Loudness(hz) || measure == Loss(hz));
        if (_windows[0].Count == 0)
            return Measurement.None(measure, "nothing in it is louder than the gate of -70 LUFS");
        if (_windows[corner + 1].Count == 0)
            return Measurement.None(measure, "nothing of it is louder there than the gate of -70 LUFS");
        var lufs = _windows[corner + 1].GatedLufs(GateLu);
        return new(measure, measure == Loudness(_corners[corner]) ? lufs : _windows[0].GatedLufs(GateLu) - lufs);
    }

    private long HopEdge(long hop) => hop * _rateHz / HopsPerSecond;
}
