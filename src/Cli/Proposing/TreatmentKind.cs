namespace RenderGraph.Cli.Proposing;

/// <summary>What can be proposed for a stem, in the order in which a signal goes through it.</summary>
internal enum TreatmentKind
{
    Mute,
    Polarity,
    Delay,
    HighPass,
    KeyedCut,
}
