namespace RenderGraph.Nodes.Measures.Checks;

/// <summary>Something worth knowing about a stem.</summary>
/// <param name="Stem">Its place among the stems.</param>
/// <param name="Value">A number, whose meaning and unit the kind tells.</param>
/// <param name="Frame">The song's frame where it is first seen, or null.</param>
/// <param name="Other">Another stem's place, or null.</param>
public sealed record Check(CheckKind Kind, int Stem, double Value = 0, long? Frame = null, int? Other = null);
