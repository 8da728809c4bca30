namespace RenderGraph.Cli.Batch;

/// <summary>What goes with every page that sends people to their loudspeakers.</summary>
internal static class Cautions
{
    private static readonly string[] Sentences =
    [
        "Start quiet. Set the level with the full mix, not with the sub-only file, and come back down before the full mix plays.",
        "Compare two versions at the same loudness: what is louder always seems better at first.",
        "A dBA meter hardly sees sub-bass, so it can read low while the lows are loud. Small speakers and headphones play little of it, and can be damaged by it.",
        "For hearing safety in class and at work follow local rules and qualified advice. This page is neither.",
    ];

    /// <summary>Writes them as a section.</summary>
    public static void WriteMarkdown(TextWriter writer)
    {
        writer.WriteLine();
        writer.WriteLine("## Before you listen");
        writer.WriteLine();
        foreach (var sentence in Sentences)
            writer.WriteLine($"- {sentence}");
    }
}
