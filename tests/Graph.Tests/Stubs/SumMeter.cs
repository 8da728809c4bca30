using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Adds up what it hears, each frame times its place and, if it hears an anchor, times that: whatever comes early, late or not at all shows.</summary>
internal sealed class SumMeter(string measure) : IMeter
{
    private double _sum;
    private long _frames;

    public static MeterType Type { get; } = new(
        "sum", [MeterPort.Measured], [new("placedSum", "Frames times places."), new("heardFrames", "Frames.")], wanted => new SumMeter(wanted.Contains("placedSum") ? "placedSum" : "heardFrames"));

    public static MeterType AnchorType { get; } = new(
        "anchorSum", [MeterPort.Measured, MeterPort.Anchor], [new("anchorSum", "Frames times places times the anchor.")], _ => new SumMeter("anchorSum"));

    public static MeterType SourceType { get; } = new(
        "sourceSum", [MeterPort.Source, MeterPort.Anchor], [new("sourceSum", "The same before an output's own treatment.")], _ => new SumMeter("sourceSum"));

    public static MeterType MixType { get; } = new(
        "mixSum", [MeterPort.Mix, MeterPort.PartOfMix], [new("partOfMixSum", "The mix times places times what it has of the signal.")], _ => new SumMeter("partOfMixSum"));

    public void Prepare(MeterFormat format) => (_sum, _frames) = (0, 0);

    public void Hear(ReadOnlySpan<Signal> heard)
    {
        for (var frame = 0; frame < heard[0].Frames; frame++)
        {
            _frames++;
            for (var channel = 0; channel < heard[0].Channels; channel++)
                _sum += _frames * heard[0][channel][frame] * (heard.Length > 1 ? heard[1][0][frame] : 1);
        }
    }

    public IReadOnlyList<Measurement> Conclude() => [new(measure, measure == "heardFrames" ? _frames : _sum)];

    /// <summary>The obvious way.</summary>
    public static double Of(Signal signal, Signal? anchor = null)
    {
        var meter = new SumMeter("placedSum");
        meter.Hear(anchor is { } against ? [signal, against] : [signal]);
        return meter.Conclude()[0].Value!.Value;
    }
}
