using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// Keyed cuts at work, one or many. All their band-passes run in one bank, those that listen beside those that cut; cuts that listen to one key in one way hear it once, and those
/// that move by hits hear none.
/// </summary>
internal sealed class KeyedCutGroup : ILaneGroup
{
    private const int InputsPerLane = 2, Deaf = -1;
    private const int StretchFrames = 256; // what a stretch needs stays in the nearest cache

    private readonly Ear[] _ears;
    private readonly Cut[] _cuts; // those of one ear stand together
    private readonly SectionBank _bank;
    private readonly Signal[] _taken, _given; // by the bank: first the ears that hear a band, then the cuts
    private readonly double[] _lift = new double[StretchFrames];

    /// <summary>Makes the group of prepared nodes.</summary>
    public KeyedCutGroup(IReadOnlyList<Lane> lanes)
    {
        var format = lanes[0].Format;
        var members = lanes.Select((lane, index) => (Lane: lane, Index: index, Node: (KeyedCutNode)lane.Row[0])).ToList();
        var listeners = members
            .Where(member => member.Node.Parameters.Hits is null)
            .GroupBy(member => (Key: member.Lane.Sources[1], member.Node.Parameters.HeardHz))
            .OrderBy(alike => alike.Key.HeardHz is null)
            .ToList();
        _ears = [.. listeners.Select(alike => new Ear(
            (alike.First().Index * InputsPerLane) + 1, alike.First().Lane.Format.Inputs[1], alike.Key.HeardHz))];
        _cuts =
        [
            .. members.Where(member => member.Node.Parameters.Hits is not null).Select(member => new Cut(member.Index, Deaf, member.Node, member.Lane.Format)),
            .. listeners.SelectMany((alike, ear) => alike.Select(member => new Cut(member.Index, ear, member.Node, member.Lane.Format))),
        ];

        _bank = new(
        [
            .. _ears.Where(ear => ear.HeardHz is not null).Select(ear => (
                ear.Channels, (IReadOnlyList<Section>)[KeyListening.BandPass(ear.HeardHz!.Value, format.SampleRateHz)])),
            .. _cuts.Select(cut => (
                cut.Channels,
                (IReadOnlyList<Section>)[SectionDesign.BandPass(cut.Node.Parameters.FrequencyHz, cut.Node.Parameters.Q, format.SampleRateHz)])),
        ]);
        var bankSignals = _cuts.Length + _ears.Count(ear => ear.HeardHz is not null);
        (_taken, _given) = (new Signal[bankSignals], new Signal[bankSignals]);
    }

    /// <inheritdoc/>
    public void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs)
    {
        for (var start = 0; start < outputs[0].Frames; start += StretchFrames)
            Process(startFrame + start, inputs, outputs, start, Math.Min(StretchFrames, outputs[0].Frames - start));
    }

    private void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs, int start, int frames)
    {
        var count = 0;
        foreach (var ear in _ears)
        {
            if (ear.HeardHz is not null)
                (_taken[count], _given[count++]) = (inputs[ear.Input].Slice(start, frames), ear.Heard.Slice(0, frames));
        }

        foreach (var cut in _cuts)
            (_taken[count], _given[count++]) = (inputs[cut.Lane * InputsPerLane].Slice(start, frames), cut.Band.Slice(0, frames));

        _bank.Process(startFrame, _taken, _given);

        var next = 0;
        for (var index = Deaf; index < _ears.Length; index++)
        {
            var peaks = index == Deaf ? [] : Heard(_ears[index], startFrame, inputs[_ears[index].Input].Slice(start, frames));
            for (; next < _cuts.Length && _cuts[next].Ear == index; next++)
            {
                var lane = _cuts[next].Lane;
                Lower(_cuts[next], startFrame, peaks, inputs[lane * InputsPerLane].Slice(start, frames), outputs[lane].Slice(start, frames));
            }
        }
    }

    private static ReadOnlySpan<double> Heard(Ear ear, long startFrame, Signal key) =>
        ear.Peaks.Of(startFrame - ear.LatencyFrames, ear.HeardHz is null ? key : ear.Heard.Slice(0, key.Frames));

    private void Lower(Cut cut, long startFrame, ReadOnlySpan<double> peaks, Signal signal, Signal output)
    {
        var lift = _lift.AsSpan(0, output.Frames);
        if (!cut.Node.Draw(startFrame - cut.LatencyFrames, peaks, lift))
        {
            signal.CopyTo(output);
            return;
        }

        for (var channel = 0; channel < output.Channels; channel++)
            Lower(signal[channel], lift, cut.Band[channel], output[channel]);
    }

    // Where the lift is 0 the signal's bits stay, even those of a negative zero.
    private static void Lower(ReadOnlySpan<double> signal, ReadOnlySpan<double> lift, ReadOnlySpan<double> band, Span<double> output)
    {
        var given = MemoryMarshal.Cast<double, Vector256<double>>(output);
        var signals = MemoryMarshal.Cast<double, Vector256<double>>(signal)[..given.Length];
        var lifts = MemoryMarshal.Cast<double, Vector256<double>>(lift)[..given.Length];
        var bands = MemoryMarshal.Cast<double, Vector256<double>>(band)[..given.Length];
        for (var index = 0; index < given.Length; index++)
        {
            var untouched = Vector256.Equals(lifts[index], Vector256<double>.Zero);
            given[index] = Vector256.ConditionalSelect(untouched, signals[index], signals[index] + (lifts[index] * bands[index]));
        }

        for (var frame = given.Length * Vector256<double>.Count; frame < output.Length; frame++)
            output[frame] = lift[frame] == 0 ? signal[frame] : signal[frame] + (lift[frame] * band[frame]);
    }

    /// <param name="input">Where its key is found.</param>
    private sealed class Ear(int input, InputFormat key, double? heardHz)
    {
        public int Input => input;

        public int Channels => key.Channels;

        public int LatencyFrames => key.LatencyFrames;

        public double? HeardHz => heardHz;

        public KeyPeaks Peaks { get; } = new(StretchFrames);

        public Signal Heard { get; } = Signal.Allocate(key.Channels, heardHz is null ? 0 : StretchFrames);
    }

    private sealed class Cut(int lane, int ear, KeyedCutNode node, NodeFormat format)
    {
        public int Lane => lane;

        public int Ear => ear;

        public KeyedCutNode Node => node;

        public int Channels => format.OutputChannels;

        public int LatencyFrames => format.Inputs[0].LatencyFrames;

        public Signal Band { get; } = Signal.Allocate(format.OutputChannels, StretchFrames);
    }
}
