using System.Text.Json;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Measures.Pitch;

namespace RenderGraph.Cli.Console;

/// <summary>The anchor, what the graph says of it and what was measured.</summary>
internal static class AnchorText
{
    /// <summary><c>kick at 52 Hz (G#1 +3 cents), measured ...; 28 hits, the first at 0:00.136</c>.</summary>
    public static string Line(AnchorEntry? anchor, int sampleRateHz)
    {
        if (anchor is null)
            return "none";
        var text = anchor.Stem.Value;
        if (anchor.FrequencyHz is { } frequencyHz)
            text += $" at {ParameterName.Write(frequencyHz)} Hz ({Note.NearestTo(frequencyHz)})";
        if (anchor is { ToldFrequencyHz: null, Measures.Frequency: { } found })
            text += $", measured with confidence {ParameterName.Write(found.Confidence)} in {Say.Whole(found.HitCount)} hits that agree within {ParameterName.Write(Math.Max(0.1, found.SpreadHz))} Hz";
        if (anchor.Measures?.Hits is { } hits)
        {
            text += hits.Count == 0 ? "; no hits" : $"; {Say.Whole(hits.Count)} hits, the first at {SongTime.Write(hits[0].Frame / (double)sampleRateHz)}";
            text += anchor.HitsFile is { } file ? $", from {file.Value}" : "";
        }

        return text;
    }

    /// <summary>Writes it as a member called <c>anchor</c>; null if there is none.</summary>
    public static void WriteAnchor(this Utf8JsonWriter json, AnchorEntry? anchor, int sampleRateHz)
    {
        if (anchor is null)
        {
            json.WriteNull("anchor");
            return;
        }

        json.WriteStartObject("anchor");
        json.WriteString("stem", anchor.Stem.Value);
        json.WriteFinite("frequencyHz", anchor.FrequencyHz);
        var note = anchor.FrequencyHz is { } frequencyHz ? Note.NearestTo(frequencyHz) : (Note?)null;
        json.WriteText("note", note?.Name);
        json.WriteFinite("cents", note is { } near ? Math.Round(near.Cents) : null);
        var measured = anchor.ToldFrequencyHz is null ? anchor.Measures?.Frequency : null;
        json.WriteBoolean("measured", measured is not null);
        json.WriteFinite("spreadHz", measured?.SpreadHz);
        json.WriteFinite("confidence", measured?.Confidence);
        if (anchor.Measures?.Hits is { } hits)
        {
            json.WriteObjects("hits", hits, hit =>
            {
                json.WriteFinite("seconds", Math.Round(1e6 * hit.Frame / sampleRateHz) / 1e6);
                json.WriteFinite("strength", hit.Strength);
            });
        }
        else
        {
            json.WriteNull("hits");
        }

        json.WriteEndObject();
    }
}
