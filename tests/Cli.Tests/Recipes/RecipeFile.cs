using RenderGraph.Songs;

namespace RenderGraph.Cli.Tests.Recipes;

/// <summary>The recipes of <c>graphs/recipes</c>.</summary>
internal static class RecipeFile
{
    /// <summary>Where a situation's recipe is.</summary>
    public static string Of(Situation situation) => Path.Combine(AppContext.BaseDirectory, "graphs", "recipes", Folder(situation), "recipe.json");

    /// <summary>kick-led-electronic.</summary>
    public static string Folder(Situation situation) =>
        string.Concat(situation.ToString().Select((letter, index) => char.IsUpper(letter) && index > 0 ? $"-{char.ToLowerInvariant(letter)}" : char.ToLowerInvariant(letter).ToString()));
}
