using System.Globalization;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Document;

/// <summary>Guesses which number was meant.</summary>
internal static class NumberFault
{
    /// <summary>The remedy for a number out of bounds: its sign or its unit mistaken, else the nearest bound.</summary>
    public static string Nearest(string name, double value, double min, double max)
    {
        // Where both signs are allowed, the sign is no mistake.
        if ((min >= 0 || max <= 0) && value != 0 && -value >= min && -value <= max)
            return $"Did you mean {ParameterName.Write(-value)}?";
        if (name.EndsWith("Hz", StringComparison.Ordinal) && value > 0 && value < min && value * 1000 >= min && value * 1000 <= max)
            return $"Hz are wanted, not kHz: did you mean {ParameterName.Write(Math.Round(value * 1000, 3))}?";
        return value < min ? $"The least it can be is {ParameterName.Write(min)}" : $"The most it can be is {ParameterName.Write(max)}";
    }

    /// <summary>The remedy for a value that is not a number.</summary>
    public static string InsteadOf(JsonValue value, double min, double max)
    {
        if (value is JsonText text
            && double.TryParse(text.Value.Trim().Replace(',', '.'), NumberStyles.Float, CultureInfo.InvariantCulture, out var meant) && double.IsFinite(meant))
            return $"Write it without quotes: {ParameterName.Write(meant)}";
        return $"Write a number between {ParameterName.Write(min)} and {ParameterName.Write(max)}, without quotes and without its unit";
    }
}
