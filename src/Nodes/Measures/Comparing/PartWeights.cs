using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Loudness;

namespace RenderGraph.Nodes.Measures.Comparing;

/// <summary>
/// How loud each part is to the ear, after and before: its mean power under the K-weighting of ITU-R BS.1770-5, without gates, so that a change is one of all that it plays. All parts run side by side.
/// </summary>
internal sealed class PartWeights
{
    // A part whose power the weighting takes down by so much lies mostly under 100 Hz or so.
    private const double LowPartDb = -1;

    private const double LeastPower = 1e-20; // -200 dBFS

    // A part that was that loud in that time, and is not a low one, will not become one.
    private const double KnownPower = 1e-6, KnownSeconds = 4;

    private readonly CompareFormat _format;
    private readonly IReadOnlyList<int> _channels;
    private readonly PlaneEnergy[][] _weighted, _plain; // of each signal's channels
    private readonly Signal[] _room;
    private readonly bool[] _silence;
    private readonly long _knownFrames;

    private readonly List<int> _parts; // that are heard
    private SectionBank? _bank;
    private Signal[] _inputs = [], _outputs = [];
    private long _frames;

    /// <param name="channels">Of each part after and before, in turns.</param>
    public PartWeights(CompareFormat format, IReadOnlyList<int> channels)
    {
        (_format, _channels) = (format, channels);
        _silence = new bool[channels.Count];
        _room = [.. channels.Select((count, index) => new Signal(new double[count * format.MaxBlockFrames], 0, format.MaxBlockFrames, count, format.MaxBlockFrames, _silence, index))];
        (_weighted, _plain) = ([.. channels.Select(Sums)], [.. channels.Select(Sums)]);
        _knownFrames = (long)(KnownSeconds * format.SampleRateHz);
        _parts = [.. Enumerable.Range(0, format.Parts.Count)];
        Hear();
    }

    /// <summary>Hears the next frames of all of them.</summary>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        for (var start = 0; start < heard[0].Frames;)
        {
            var count = (int)Math.Min(heard[0].Frames - start, _knownFrames - (_frames % _knownFrames));
            Hear(heard, start, count);
            start += count;
            _frames += count;
            if (_format.IsForVerdict && _frames % _knownFrames == 0 && _parts.RemoveAll(IsKnownNotLow) > 0)
                Hear();
        }
    }

    /// <summary>The change of a part, and whether it is a low one.</summary>
    public PartChange Of(int part)
    {
        var (after, before) = (Sum(_weighted[2 * part]), Sum(_weighted[(2 * part) + 1]));
        var change = before < LeastPower * _frames ? Measurement.None("changeLu", "it is silent before")
            : after < LeastPower * _frames ? Measurement.None("changeLu", "it is silent after")
            : new("changeLu", Decibels.FromPower(after / before) + _format.Parts[part].GainDb);
        return new(_format.Parts[part].Name, change, IsLow(part));
    }

    private bool IsLow(int part) => Sum(_weighted[(2 * part) + 1]) is > 0 and var before && Decibels.FromPower(before / Sum(_plain[(2 * part) + 1])) <= LowPartDb;

    private bool IsKnownNotLow(int part) => Sum(_plain[(2 * part) + 1]) > KnownPower * _knownFrames && !IsLow(part);

    /// <summary>Prepares for those that are heard.</summary>
    private void Hear()
    {
        var sections = KWeighting.Sections(_format.SampleRateHz);
        _bank = _parts.Count == 0 ? null : new([.. _parts.SelectMany(part => new[] { 2 * part, (2 * part) + 1 }).Select(index => (_channels[index], sections))]);
        (_inputs, _outputs) = (new Signal[2 * _parts.Count], new Signal[2 * _parts.Count]);
    }

    private void Hear(ReadOnlySpan<Signal> heard, int start, int count)
    {
        if (_bank is null)
            return;
        for (var index = 0; index < _inputs.Length; index++)
        {
            var signal = SignalAt(index);
            _inputs[index] = heard[signal].Slice(start, count);
            _outputs[index] = _room[signal].Slice(0, count);
            _outputs[index].IsSilent = false;
        }

        _bank.Process(_frames, _inputs, _outputs);
        for (var index = 0; index < _inputs.Length; index++)
        {
            for (var channel = 0; channel < _inputs[index].Channels; channel++)
            {
                Add(_outputs[index], channel, _weighted[SignalAt(index)][channel]);
                if (index % 2 == 1)
                    Add(_inputs[index], channel, _plain[SignalAt(index)][channel]);
            }
        }
    }

    private int SignalAt(int index) => (2 * _parts[index / 2]) + (index % 2);

    private static PlaneEnergy[] Sums(int channels) => [.. Enumerable.Range(0, channels).Select(_ => new PlaneEnergy())];

    private static void Add(Signal signal, int channel, PlaneEnergy energy)
    {
        if (signal.IsSilent)
            energy.Skip(signal.Frames);
        else
            energy.Add(signal[channel]);
    }

    // A mono part is heard on both sides.
    private static double Sum(PlaneEnergy[] channels) => channels is [var one] ? 2 * one.Value : channels[0].Value + channels[1].Value;
}
