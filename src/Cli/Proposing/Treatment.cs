using static System.FormattableString;

namespace RenderGraph.Cli.Proposing;

/// <summary>Something to be done to a stem.</summary>
/// <param name="Stem">Its place among the stems.</param>
/// <param name="Reason">Why: a sentence.</param>
/// <param name="Number">Milliseconds, hertz or decibels, as the kind wants; on the step that is written.</param>
internal sealed record Treatment(int Stem, TreatmentKind Kind, string Reason, double Number = 0)
{
    /// <summary>What it gained when it was tried; null until then.</summary>
    public string? Effect { get; init; }

    /// <summary>What is done, in a few words.</summary>
    public string Words => Kind switch
    {
        TreatmentKind.Mute => "mute",
        TreatmentKind.Polarity => "turn over",
        TreatmentKind.Delay => Invariant($"{Math.Abs(Number):0.##} ms {(Number < 0 ? "earlier" : "later")}"),
        TreatmentKind.HighPass => Invariant($"high-pass at {Number:0} Hz"),
        _ => Invariant($"keyed cut of {Number:0.#} dB"),
    };

    /// <summary>The node's type.</summary>
    public string Type => Kind switch
    {
        TreatmentKind.Polarity => "polarity",
        TreatmentKind.Delay => "delay",
        TreatmentKind.HighPass => "highPass",
        TreatmentKind.KeyedCut => "keyedCut",
        _ => throw new InvalidOperationException("A muted stem has no node."),
    };

    /// <summary>Its parameters as a graph writes them, each after a comma.</summary>
    public string Parameters => Kind switch
    {
        TreatmentKind.Delay => Invariant($", \"delayMs\": {Number:0.##}"),
        TreatmentKind.HighPass => Invariant($", \"frequencyHz\": {Number:0}, \"slopeDbPerOctave\": 24"),
        TreatmentKind.KeyedCut => Invariant($", \"frequencyHz\": \"anchor\", \"q\": 2, \"depthDb\": {Number:0.#}"),
        _ => "",
    };
}
