using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// Keyed cuts at work, one or many. All their band-passes run in one bank, those that listen beside those that cut; cuts that listen to one key in one way hear it once.
/// </summary>
internal sealed class KeyedCutGroup : ILaneGroup
{
    private const int InputsPerLane = 2;

    private readonly Ear[] _ears;
    private readonly Cut[] _cuts; // those of one ear stand together
    private readonly SectionBank _bank;
    private readonly Signal[] _taken, _given; // by the bank: first the ears that hear a band, then the cuts
    private readonly double[] _lift;

    /// <summary>Makes the group of prepared nodes.</summary>
    public KeyedCutGroup(IReadOnlyList<Lane> lanes)
    {
        var format = lanes[0].Format;
        var listeners = lanes
            .Select((lane, index) => (Lane: lane, Index: index, Node: (KeyedCutNode)lane.Row[0]))
            .GroupBy(member => (Key: member.Lane.Sources[1], member.Node.Parameters.HeardHz))
            .OrderBy(alike => alike.Key.HeardHz is null)
            .ToList();
        _ears = [.. listeners.Select(alike => new Ear(
            (alike.First().Index * InputsPerLane) + 1, alike.First().Lane.Format.Inputs[1].Channels, alike.Key.HeardHz, format.MaxBlockFrames))];
        _cuts = [.. listeners.SelectMany((alike, ear) => alike.Select(member => new Cut(
            member.Index, ear, member.Node, member.Lane.Format.OutputChannels, member.Node.LatencyFrames(format.SampleRateHz), format.MaxBlockFrames)))];

        _bank = new(
        [
            .. _ears.Where(ear => ear.HeardHz is not null).Select(ear => (
                ear.Channels, (IReadOnlyList<Section>)[KeyEar.BandPass(ear.HeardHz!.Value, format.SampleRateHz)])),
            .. _cuts.Select(cut => (
                cut.Channels,
                (IReadOnlyList<Section>)[SectionDesign.BandPass(cut.Node.Parameters.FrequencyHz, cut.Node.Parameters.Q, format.SampleRateHz)])),
        ]);
        var bankSignals = _cuts.Length + _ears.Count(ear => ear.HeardHz is not null);
        (_taken, _given) = (new Signal[bankSignals], new Signal[bankSignals]);
        _lift = new double[format.MaxBlockFrames];
    }

    /// <inheritdoc/>
    public void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs)
    {
        var (frames, count) = (outputs[0].Frames, 0);
        foreach (var ear in _ears)
        {
            if (ear.HeardHz is not null)
                (_taken[count], _given[count++]) = (inputs[ear.Input], ear.Heard.Slice(0, frames));
        }

        foreach (var cut in _cuts)
        {
            cut.Delay(inputs[cut.Lane * InputsPerLane], outputs[cut.Lane]);
            (_taken[count], _given[count++]) = (outputs[cut.Lane], cut.Band.Slice(0, frames));
        }

        _bank.Process(startFrame, _taken, _given);

        var lift = _lift.AsSpan(0, frames);
        var next = 0;
        for (var index = 0; index < _ears.Length; index++)
        {
            var ear = _ears[index];
            var peaks = ear.Peaks.Of(startFrame, ear.HeardHz is null ? inputs[ear.Input] : ear.Heard.Slice(0, frames));
            for (; next < _cuts.Length && _cuts[next].Ear == index; next++)
            {
                if (_cuts[next].Node.Draw(startFrame, peaks, lift))
                    Lower(lift, _cuts[next].Band, outputs[_cuts[next].Lane]);
            }
        }
    }

    private static void Lower(ReadOnlySpan<double> lift, Signal band, Signal signal)
    {
        for (var channel = 0; channel < signal.Channels; channel++)
            Lower(lift, band[channel], signal[channel]);
    }

    // Where the lift is 0 the signal's bits stay, even those of a negative zero.
    private static void Lower(ReadOnlySpan<double> lift, ReadOnlySpan<double> band, Span<double> signal)
    {
        var signals = MemoryMarshal.Cast<double, Vector256<double>>(signal);
        var lifts = MemoryMarshal.Cast<double, Vector256<double>>(lift)[..signals.Length];
        var bands = MemoryMarshal.Cast<double, Vector256<double>>(band)[..signals.Length];
        for (var index = 0; index < signals.Length; index++)
        {
            var untouched = Vector256.Equals(lifts[index], Vector256<double>.Zero);
            signals[index] = Vector256.ConditionalSelect(untouched, signals[index], signals[index] + (lifts[index] * bands[index]));
        }

        for (var frame = signals.Length * Vector256<double>.Count; frame < signal.Length; frame++)
        {
            if (lift[frame] != 0)
                signal[frame] += lift[frame] * band[frame];
        }
    }

    private sealed class Ear(int input, int channels, double? heardHz, int maxBlockFrames)
    {
        public int Input => input;

        public int Channels => channels;

        public double? HeardHz => heardHz;

        public KeyPeaks Peaks { get; } = new(maxBlockFrames);

        public Signal Heard { get; } = Signal.Allocate(channels, heardHz is null ? 0 : maxBlockFrames);
    }

    private sealed class Cut(int lane, int ear, KeyedCutNode node, int channels, int delayFrames, int maxBlockFrames)
    {
        private readonly DelayLine[] _delays = [.. Enumerable.Range(0, channels).Select(_ => new DelayLine(delayFrames))];

        public int Lane => lane;

        public int Ear => ear;

        public KeyedCutNode Node => node;

        public int Channels => channels;

        public Signal Band { get; } = Signal.Allocate(channels, maxBlockFrames);

        public void Delay(Signal signal, Signal output)
        {
            for (var channel = 0; channel < channels; channel++)
                _delays[channel].Process(signal[channel], output[channel]);
        }
    }
}
