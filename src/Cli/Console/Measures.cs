using System.Text.Json;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Cli.Console;

/// <summary>How measurements reach the person: a cell, a line for what could not be measured, and JSON.</summary>
internal static class Measures
{
    private static readonly (string Ending, string Unit)[] Units =
        [("Lufs", "LUFS"), ("Lu", "LU"), ("Dbtp", "dBTP"), ("Dbfs", "dBFS"), ("Db", "dB"), ("Hz", "Hz"), ("Degrees", "degrees")];

    /// <summary>A name's end is its unit.</summary>
    public static string UnitOf(string measure) => Units.FirstOrDefault(unit => measure.EndsWith(unit.Ending, StringComparison.Ordinal)).Unit ?? "";

    /// <summary>The unit in which a distance from a limit is told.</summary>
    public static string UnitOfDifference(string measure) => UnitOf(measure) switch { "LUFS" => "LU", "dBTP" or "dBFS" => "dB", var unit => unit };

    /// <summary>One decimal, or two of what goes from 0 to 1, or <c>-</c>.</summary>
    public static string Cell(this IEnumerable<Measurement> measurements, string measure) =>
        measurements.FirstOrDefault(measurement => measurement.Name == measure)?.Value is not { } value ? "-"
        : UnitOf(measure).Length > 0 ? Say.Decimal(value) : value.ToString("0.00", System.Globalization.CultureInfo.InvariantCulture);

    /// <summary>What could not be measured: the names and why, those of one reason together.</summary>
    public static IEnumerable<string> NotMeasurable(this IEnumerable<Measurement> measurements) => measurements
        .Where(measurement => measurement.Value is null)
        .GroupBy(measurement => measurement.Reason)
        .Select(alike => $"{string.Join(", ", alike.Select(measurement => measurement.Name))} not measurable: {alike.Key}.");

    /// <summary>Each measure by its name, in ten-thousandths; null where there is none, and then why; and where those stand that have a place.</summary>
    /// <param name="firstFrame">The song's frame that measuring began with.</param>
    public static void WriteMeasurements(this Utf8JsonWriter json, IReadOnlyList<Measurement> measurements, int sampleRateHz, long firstFrame = 0)
    {
        foreach (var measurement in measurements)
            json.WriteRounded(measurement.Name, measurement.Value);
        json.WriteStartObject("atSeconds");
        foreach (var measurement in measurements.Where(measurement => measurement.AtFrame is not null))
            json.WriteFinite(measurement.Name, Math.Round((measurement.AtFrame!.Value + firstFrame) / (double)sampleRateHz, 6, MidpointRounding.AwayFromZero));
        json.WriteEndObject();
        json.WriteObjects("notMeasurable", measurements.Where(measurement => measurement.Value is null), measurement =>
        {
            json.WriteString("measure", measurement.Name);
            json.WriteText("reason", measurement.Reason);
        });
    }
}
