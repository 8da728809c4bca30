namespace RenderGraph.Cli.Batch;

/// <summary>A song that stands apart from the others of its set.</summary>
/// <param name="Measure">The measure's key in <c>batch.json</c>.</param>
/// <param name="Sentence">Without the song's name.</param>
internal sealed record Outlier(string Song, string Measure, double Value, double Median, string Sentence);
