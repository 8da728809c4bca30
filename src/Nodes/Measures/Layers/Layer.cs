namespace RenderGraph.Nodes.Measures.Layers;

/// <summary>One of several stems that play the same thing together.</summary>
/// <param name="Stem">Its place among the stems.</param>
/// <param name="Likeness">Against the group's first; null for that one itself.</param>
/// <param name="AddsDb">By how much the group's low end is louder with it than without it; below 0 it takes away.</param>
/// <param name="Verdict">What to do with it.</param>
/// <param name="Reason">Why.</param>
/// <param name="ShiftMs">For a shift, and for turning over if that alone is not enough: later by so much, earlier if below 0.</param>
/// <param name="GainDb">For turning over and shifting: what it and the first together gain in the low end.</param>
public sealed record Layer(int Stem, Likeness? Likeness, double AddsDb, LayerVerdict Verdict, LayerReason Reason, double ShiftMs = 0, double? GainDb = null);
