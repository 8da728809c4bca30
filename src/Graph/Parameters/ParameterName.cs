using System.Globalization;

namespace RenderGraph.Graph.Parameters;

/// <summary>How code's names and numbers are written in a graph.</summary>
public static class ParameterName
{
    /// <summary><c>FrequencyHz</c> is <c>frequencyHz</c>.</summary>
    public static string InGraph(string name) => char.ToLowerInvariant(name[0]) + name[1..];

    /// <summary>The shortest text that reads back as the same number, in any culture.</summary>
    public static string Write(double number) => number.ToString("R", CultureInfo.InvariantCulture);
}
