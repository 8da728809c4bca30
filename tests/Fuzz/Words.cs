namespace RenderGraph.Fuzz;

/// <summary>What is told is a sentence that a person can read, on one line, however mad the file.</summary>
internal static class Words
{
    public static void Check(string sentence, string remedy)
    {
        if (sentence.Length is < 10 or > 2000 || remedy.Length is < 5 or > 1000 || sentence.Any(char.IsControl) || remedy.Any(char.IsControl))
            throw new BadOutcomeException($"it was told: {sentence}. {remedy}.");
    }
}
