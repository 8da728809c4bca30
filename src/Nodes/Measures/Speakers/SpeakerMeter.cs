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
    private const int WindowHops = 40, StepHops = 10;
    private const double GateLu = 10;
    private const string NotThere = "a speaker is judged by all that it plays";

    // The whole comes first, then the speakers.
    private readonly List<double> _corners = [.. SmallSpeaker.CornersHz.Where(hz => measures.Contains(Loudness(hz)) || measures.Contains(Loss(hz)))];

    private int _rateHz;
    private IReadOnlyList<double> _weights = [];
    private Hops _hops = null!;
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
        _hops = new(_rateHz, channels);
        var stride = _hops.MostFrames;
        _weighting = new([(channels, KWeighting.Sections(_rateHz))]);
        _speakers = new([.. _corners.Select(hz => (channels, SmallSpeaker.Sections(hz, _rateHz)))]);
        var count = _corners.Count + 1;
        var planes = new double[count * channels * stride];
        _silence = new bool[count];
        _filtered = [.. Enumerable.Range(0, count).Select(index => new Signal(planes, index * channels * stride, stride, channels, stride, _silence, index))];
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
            start += _hops.Take(signal, start);
            if (_hops.IsWhole)
                EndHop();
        }
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude() => [.. Type.Measures.Where(measure => measures.Contains(measure.Name)).Select(measure => Conclude(measure.Name))];

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);

    private void EndHop()
    {
        var (firstFrame, place) = (_hops.FirstFrame, (int)(_hops.Count % WindowHops));
        for (var index = 0; index < _filtered.Length; index++)
        {
            var filtered = _filtered[index].Slice(0, _hops.Frames);
            filtered.IsSilent = false;
            if (index == 0)
                _outputs[0] = filtered;
            else
                _heard[index - 1] = filtered;
        }

        _inputs[0] = _hops.Open;
        _weighting.Process(firstFrame, _inputs, _outputs);
        Array.Fill(_weighted, _outputs[0]);
        _speakers.Process(firstFrame, _weighted, _heard);
        _energies[0][place] = ChannelWeights.EnergyOf(_outputs[0], _weights);
        for (var index = 0; index < _heard.Length; index++)
            _energies[index + 1][place] = ChannelWeights.EnergyOf(_heard[index], _weights);

        _hops.Next();
        if (_hops.Count < WindowHops || _hops.Count % StepHops != 0)
            return;
        var (oldest, frames) = ((int)(_hops.Count % WindowHops), _hops.FramesOf(WindowHops));
        for (var index = 0; index < _windows.Length; index++)
            _windows[index].Add((Energy.Sum(_energies[index].AsSpan(oldest)) + Energy.Sum(_energies[index].AsSpan(0, oldest))) / frames);
    }

    private Measurement Conclude(string measure)
    {
        if (_hops.Count < WindowHops)
            return Measurement.None(measure, string.Create(CultureInfo.InvariantCulture, $"it lasts {(double)_hops.HeardFrames / _rateHz:0.###} s, and {(double)WindowHops / Hops.PerSecond} s are needed"));
        var corner = _corners.FindIndex(hz => measure == Loudness(hz) || measure == Loss(hz));
        if (_windows[0].Count == 0)
            return Measurement.None(measure, "nothing in it is louder than the gate of -70 LUFS");
        if (_windows[corner + 1].Count == 0)
            return Measurement.None(measure, "nothing of it is louder there than the gate of -70 LUFS");
        var lufs = _windows[corner + 1].GatedLufs(GateLu);
        return new(measure, measure == Loudness(_corners[corner]) ? lufs : _windows[0].GatedLufs(GateLu) - lufs);
    }
}
