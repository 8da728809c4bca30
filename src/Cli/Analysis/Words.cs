using RenderGraph.Cli.Console;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Layers;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Parts;
using static System.FormattableString;

namespace RenderGraph.Cli.Analysis;

/// <summary>Findings in plain words: the same in tables, JSON and the comments of a proposal.</summary>
internal static class Words
{
    public static string Stems(int count) => count == 1 ? "1 stem" : $"{Say.Whole(count)} stems";

    public static string Of(PartKind kind) => kind switch { PartKind.Kick => "kick", PartKind.Bass => "bass", PartKind.Silent => "silent", _ => "other" };

    public static string Of(CollisionKind kind) => kind switch { CollisionKind.Masking => "masking", CollisionKind.Cancelling => "cancelling", _ => "clear" };

    public static string Of(RemedyKind kind) => kind switch
    {
        RemedyKind.Polarity => "polarity",
        RemedyKind.Shift => "delay",
        RemedyKind.KeyedCut => "keyedCut",
        RemedyKind.HighPass => "highPass",
        _ => "none",
    };

    public static string Of(LayerVerdict verdict) => verdict switch
    {
        LayerVerdict.Mute => "mute",
        LayerVerdict.HighPass => "highPass",
        LayerVerdict.TurnOver => "polarity",
        LayerVerdict.Shift => "delay",
        _ => "keep",
    };

    /// <summary>What helps against a collision.</summary>
    public static string Of(Remedy remedy) => remedy.Kind switch
    {
        RemedyKind.Polarity => $"turn it over (polarity); it and the anchor then have {Say.Decimal(remedy.GainDb ?? 0)} dB more together.",
        RemedyKind.Shift => $"play it {Shift(remedy.ShiftMs)} (delay); it and the anchor then have {Say.Decimal(remedy.GainDb ?? 0)} dB more together.",
        RemedyKind.KeyedCut => "cut it at the anchor's frequency while the anchor hits (keyedCut).",
        RemedyKind.HighPass => "it has no low note of its own: a highPass takes what is in the way.",
        _ => "nothing is needed.",
    };

    /// <summary>What a layer is, and what to do with it.</summary>
    public static string Of(Layer layer, LayerGroup group, LowEndMap map)
    {
        var (name, first) = (map.Stems[layer.Stem].Name, map.Stems[group.First].Name);
        var adds = layer.AddsDb >= 0.05 ? $"adds {Say.Decimal(layer.AddsDb)} dB" : layer.AddsDb <= -0.05 ? $"takes {Say.Decimal(-layer.AddsDb)} dB" : "adds nothing";
        var alike = layer.Likeness is { } likeness
            ? Invariant($"against {first} {likeness.Correlation:0.00} alike at {(likeness.DelayMs == 0 ? "no delay" : Invariant($"{likeness.DelayMs:0.00} ms"))}; ") : "";
        var what = layer.Verdict switch
        {
            LayerVerdict.Mute => "mute",
            LayerVerdict.HighPass => "high-pass",
            LayerVerdict.TurnOver => layer.ShiftMs == 0 ? "turn over" : $"turn over and play {Shift(layer.ShiftMs)}",
            LayerVerdict.Shift => $"play {Shift(layer.ShiftMs)}",
            _ => "keep",
        };
        return $"{name}: {what}. {Why(layer, first)} ({alike}in the low end of the {Say.Whole(group.Layers.Count)} it {adds})";
    }

    /// <summary>Why a layer is judged so: a sentence.</summary>
    public static string Why(Layer layer, string first) => layer.Reason switch
    {
        LayerReason.Strongest => "It has the strongest low end of those that play together.",
        LayerReason.AddsItsOwn => "It adds something of its own.",
        LayerReason.Duplicate => $"It is the same sound as {first} once more.",
        LayerReason.Surplus => "Two that play the same are kept already, and it has less of its own.",
        LayerReason.TakesAway => "The low end is louder without it.",
        LayerReason.AddsNothing => "Its low end adds next to nothing.",
        LayerReason.UpsideDown => $"It is upside down against {first}; put right, both gain {Say.Decimal(layer.GainDb ?? 0)} dB.",
        _ => $"It is not in time with {first}; put right, both gain {Say.Decimal(layer.GainDb ?? 0)} dB.",
    };

    /// <summary>What was found about a stem: a sentence with what to do.</summary>
    public static string Of(Check check, LowEndMap map)
    {
        var name = map.Stems[check.Stem].Name;
        return check.Kind switch
        {
            CheckKind.Silent => $"{name} is silent: nothing in it rises above -80 dBFS. Leave it out, or export it again.",
            CheckKind.Clipped => $"{name} is clipped in {Say.Whole((long)check.Value)} {(check.Value == 1 ? "place" : "places")}, first at "
                + $"{SongTime.Write((check.Frame ?? 0) / (double)map.SampleRateHz)}. Export it softer.",
            CheckKind.Dc => $"{name} has a constant offset of {Say.Decimal(check.Value)} dBFS, which costs headroom. A highPass at 20 Hz takes it away.",
            CheckKind.Subsonic => $"{name} has {(check.Value >= 0 ? "more" : "much")} sound from 6 to 20 Hz ({Say.Decimal(check.Value)} dB against its low end), which nobody hears. A highPass at 20 to 30 Hz takes it away.",
            CheckKind.SidesCancel => $"{name}: its sides cancel each other; in mono its low end has {Say.Decimal(check.Value)} dB. One side is upside down, or it is made wide in the lows: polarity of one side, or monoBelow.",
            CheckKind.Duplicate => $"{name} holds the same samples as {map.Stems[check.Other!.Value].Name}. Leave one of them out.",
            CheckKind.Start => Invariant($"{name} begins {Math.Abs(check.Value):0.000} s {(check.Value > 0 ? "later" : "earlier")} by the clock of its recorder than it is placed. To line the stems up by it, write \"alignBy\": \"timeReference\" into the graph."),
            CheckKind.AlreadyDucked => $"{name} steps back at the anchor's hits already, by {Say.Decimal(-check.Value)} dB at half of them: it is ducked, or played around them.",
            _ => Invariant($"{name} ends {Math.Abs(check.Value):0.000} s {(check.Value < 0 ? "before" : "after")} most others. If it should not, export all parts over the same range."),
        };
    }

    /// <summary><c>2.49 ms earlier</c>.</summary>
    public static string Shift(double ms) => Invariant($"{Math.Abs(ms):0.00} ms {(ms < 0 ? "earlier" : "later")}");
}
