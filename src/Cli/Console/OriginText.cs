using System.Text.Json;
using RenderGraph.Graph.Document;

namespace RenderGraph.Cli.Console;

/// <summary>Tells that a graph was bound from a recipe, and what its song goes without.</summary>
internal static class OriginText
{
    public static void WriteTo(this GraphOrigin origin, TextWriter writer, int widthColumns)
    {
        writer.WriteWrapped($"bound from the recipe {origin.Recipe}{(origin.Dropped.Count > 0 ? ", without" : "")}", widthColumns, indent: 2);
        foreach (var part in origin.Dropped)
            writer.WriteWrapped($"- {part}", widthColumns, indent: 4);
    }

    /// <summary>Null for a graph that was not bound.</summary>
    public static void WriteOrigin(this Utf8JsonWriter json, GraphOrigin? origin)
    {
        if (origin is null)
        {
            json.WriteNull("boundFrom");
            return;
        }

        json.WriteStartObject("boundFrom");
        json.WriteString("recipe", origin.Recipe);
        json.WriteStartArray("dropped");
        foreach (var part in origin.Dropped)
            json.WriteStringValue(part);
        json.WriteEndArray();
        json.WriteEndObject();
    }
}
