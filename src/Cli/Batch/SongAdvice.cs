namespace RenderGraph.Cli.Batch;

/// <summary>One thing to know about a song's stems: what, where, why, and what to try.</summary>
/// <param name="Kind">Alike for all songs that have it: <c>masking</c>. Told in words by <see cref="AdviceKinds"/>.</param>
/// <param name="Stem">Whose it is.</param>
/// <param name="What">A sentence.</param>
/// <param name="Where">Times and bands, or null: everywhere.</param>
/// <param name="Why">By what it was found, or why it matters.</param>
/// <param name="Try">What to do, or null.</param>
internal sealed record SongAdvice(string Kind, string? Stem, string What, string? Where, string? Why, string? Try);
