namespace RenderGraph.Cli.Batch;

/// <summary>Who owns a song's low end.</summary>
/// <param name="Stem">By name.</param>
/// <param name="FrequencyHz">Null if it cannot be told.</param>
/// <param name="IsFrequencyTold">Written in recipe or song, not found.</param>
/// <param name="Confidence">Of a frequency that was found, 0 to 1.</param>
/// <param name="Hits">How often it strikes.</param>
internal sealed record SongAnchor(string Stem, double? FrequencyHz, bool IsFrequencyTold, double? Confidence, int Hits);
