using System.Text.Json;
using RenderGraph.Cli.Console;

namespace RenderGraph.Cli.Batch;

/// <summary>A song's result as JSON, both ways: what is read is what was written, to the last digit.</summary>
internal static class SongResultJson
{
    /// <summary>Writes the members of the object.</summary>
    public static void WriteMembers(Utf8JsonWriter json, SongResult song)
    {
        json.WriteString("name", song.Name);
        json.WriteString("state", song.State.Text());
        json.WriteText("title", song.Title);
        json.WriteText("verdict", song.Verdict);
        json.WriteObjects("stems", song.Stems, stem =>
        {
            json.WriteString("name", stem.Name);
            json.WriteString("file", stem.File);
            json.WriteText("by", stem.By);
        });
        json.WriteStartArray("dropped");
        foreach (var part in song.Dropped)
            json.WriteStringValue(part);
        json.WriteEndArray();
        WriteMeasures(json, song.Measures);
        json.WriteObjects("outputs", song.Outputs, output =>
        {
            json.WriteString("name", output.Name);
            json.WriteString("file", output.File);
            json.WriteString("contentXxh128", output.ContentXxh128);
        });
        json.WriteObjects("gates", song.Gates, gate =>
        {
            json.WriteString("subject", gate.Subject);
            json.WriteString("state", gate.State);
            json.WriteFinite("value", gate.Value);
            json.WriteText("reason", gate.Reason);
        });
        json.WriteObjects("advice", song.Advice, advice =>
        {
            json.WriteString("kind", advice.Kind);
            json.WriteText("stem", advice.Stem);
            json.WriteString("what", advice.What);
            json.WriteText("where", advice.Where);
            json.WriteText("why", advice.Why);
            json.WriteText("try", advice.Try);
        });
        json.WriteObjects("findings", song.Findings, finding =>
        {
            json.WriteString("severity", finding.IsError ? "error" : "warning");
            json.WriteString("code", finding.Code);
            json.WriteString("text", finding.Text);
        });
    }

    /// <summary>Reads one.</summary>
    /// <exception cref="Exception">KeyNotFoundException, InvalidOperationException or FormatException: it is not what was written.</exception>
    public static SongResult Read(JsonElement song) => new(
        Text(song, "name")!, State(Text(song, "state")!), Text(song, "title"), Text(song, "verdict"), ReadMeasures(song.GetProperty("measures")),
        Each(song, "outputs", output => new SongOutput(Text(output, "name")!, Text(output, "file")!, Text(output, "contentXxh128")!)),
        Each(song, "gates", gate => new SongGate(Text(gate, "subject")!, Text(gate, "state")!, Number(gate, "value"), Text(gate, "reason"))),
        Each(song, "advice", advice => new SongAdvice(Text(advice, "kind")!, Text(advice, "stem"), Text(advice, "what")!, Text(advice, "where"), Text(advice, "why"), Text(advice, "try"))),
        Each(song, "findings", finding => new SongFinding(Text(finding, "severity") == "error", Text(finding, "code")!, Text(finding, "text")!)))
    {
        Stems = Each(song, "stems", stem => new SongStem(Text(stem, "name")!, Text(stem, "file")!, Text(stem, "by"))),
        Dropped = Each(song, "dropped", part => part.GetString()!),
    };

    private static void WriteMeasures(Utf8JsonWriter json, SongMeasures? measures)
    {
        if (measures is null)
        {
            json.WriteNull("measures");
            return;
        }

        json.WriteStartObject("measures");
        json.WriteNumber("lengthSeconds", measures.LengthSeconds);
        if (measures.Anchor is { } anchor)
        {
            json.WriteStartObject("anchor");
            json.WriteString("stem", anchor.Stem);
            json.WriteFinite("frequencyHz", anchor.FrequencyHz);
            json.WriteBoolean("frequencyTold", anchor.IsFrequencyTold);
            json.WriteFinite("confidence", anchor.Confidence);
            json.WriteNumber("hits", anchor.Hits);
            json.WriteEndObject();
        }
        else
        {
            json.WriteNull("anchor");
        }

        json.WriteFinite("clearanceDb", measures.ClearanceDb);
        json.WriteStartObject("lowEnd");
        json.WriteString("of", measures.BalanceOf);
        for (var range = 0; range < SongMeasures.Ranges.Count; range++)
            json.WriteFinite(SongMeasures.Ranges[range].Key, measures.BalanceDb[range]);
        json.WriteEndObject();
        json.WriteEndObject();
    }

    private static SongMeasures? ReadMeasures(JsonElement measures)
    {
        if (measures.ValueKind == JsonValueKind.Null)
            return null;
        var (anchor, lowEnd) = (measures.GetProperty("anchor"), measures.GetProperty("lowEnd"));
        return new(
            measures.GetProperty("lengthSeconds").GetDouble(),
            anchor.ValueKind == JsonValueKind.Null
                ? null
                : new(Text(anchor, "stem")!, Number(anchor, "frequencyHz"), anchor.GetProperty("frequencyTold").GetBoolean(), Number(anchor, "confidence"), anchor.GetProperty("hits").GetInt32()),
            Number(measures, "clearanceDb"), Text(lowEnd, "of")!, BalanceOf(lowEnd));
    }

    private static double?[] BalanceOf(JsonElement lowEnd)
    {
        var balance = new double?[SongMeasures.Ranges.Count];
        for (var range = 0; range < balance.Length; range++)
            balance[range] = Number(lowEnd, SongMeasures.Ranges[range].Key);
        return balance;
    }

    private static SongState State(string text) => Enum.GetValues<SongState>().FirstOrDefault(state => state.Text() == text, SongState.Fault);

    private static List<T> Each<T>(JsonElement parent, string name, Func<JsonElement, T> read)
    {
        var items = new List<T>();
        foreach (var item in parent.GetProperty(name).EnumerateArray())
            items.Add(read(item));
        return items;
    }

    private static string? Text(JsonElement parent, string name) => parent.GetProperty(name).GetString();

    private static double? Number(JsonElement parent, string name) => parent.GetProperty(name) is { ValueKind: not JsonValueKind.Null } number ? number.GetDouble() : null;
}
