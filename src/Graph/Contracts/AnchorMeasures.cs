namespace RenderGraph.Graph.Contracts;

/// <summary>
/// What is known of the anchor besides what the graph says: measured before the plan is made, or kept from an earlier time. Everything in it is rounded to a stated step, so that
/// the same record gives the same bytes wherever it came from.
/// </summary>
/// <param name="Hits">When it hits, by the song's frames at the render's rate, in order; null if nobody asked. An empty list is an answer.</param>
/// <param name="Frequency">Where its low note sits; null if nobody asked, or if no hit could be heard.</param>
public sealed record AnchorMeasures(IReadOnlyList<Hit>? Hits, DominantFrequency? Frequency);
