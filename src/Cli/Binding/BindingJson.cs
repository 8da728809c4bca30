using System.Text.Json;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Binding;

namespace RenderGraph.Cli.Binding;

/// <summary>How a recipe was bound, as JSON.</summary>
internal static class BindingJson
{
    /// <summary><c>stems</c>, <c>leftOut</c> and <c>dropped</c>.</summary>
    public static void WriteBinding(this Utf8JsonWriter json, BoundSong bound)
    {
        json.WriteObjects("stems", bound.Files, file =>
        {
            json.WriteString("stem", file.Stem);
            json.WriteString("recipeStem", file.RecipeStem);
            json.WriteString("file", file.File);
            json.WriteText("pattern", file.Pattern?.Written);
        });
        json.WriteObjects("leftOut", bound.LeftOut, file =>
        {
            json.WriteString("file", file.File);
            json.WriteString("pattern", file.Pattern.Written);
        });
        json.WriteObjects("dropped", bound.Dropped, part =>
        {
            json.WriteString("part", part.Part);
            json.WriteString("why", part.Why);
        });
    }
}
