namespace RenderGraph.Cli.Proposing;

/// <summary>A gate that keeps what a proposal reached.</summary>
/// <param name="Measure">The measure's name.</param>
/// <param name="Of">An output, or a stem.</param>
/// <param name="AtLeast">Null for no lower limit.</param>
/// <param name="AtMost">Null for no upper limit.</param>
/// <param name="Why">The reason, for whoever breaks it.</param>
internal sealed record ProposedGate(string Measure, string Of, double? AtLeast, double? AtMost, string Why);
