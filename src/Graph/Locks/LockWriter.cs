using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Locks;

/// <summary>A lock as JSON: strict, one value a line, keys always in the same order and sorted where order has no meaning, so that a difference between two locks reads as what changed.</summary>
public static class LockWriter
{
    private static readonly JsonWriterOptions Options = new() { Indented = true, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>The whole text, in UTF-8, a line end at its end.</summary>
    public static byte[] Write(RenderLock render)
    {
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes, Options))
            Write(json, render);
        bytes.WriteByte((byte)'\n');
        return bytes.ToArray();
    }

    private static void Write(Utf8JsonWriter json, RenderLock render)
    {
        json.WriteStartObject();
        json.WriteNumber("lockFormat", RenderLock.Format);
        json.WriteString("engineVersion", render.EngineVersion);
        json.WriteString("graphXxh128", render.GraphXxh128);
        if (render.IsOutsideAllowed)
            json.WriteBoolean("outsideAllowed", true);
        json.WriteNumber("sampleRateHz", render.SampleRateHz);
        json.WriteNumber("latencyFrames", render.LatencyFrames);

        json.WriteStartObject("inputs");
        foreach (var (path, content) in render.Inputs.OrderBy(input => input.Key, StringComparer.Ordinal))
        {
            json.WriteStartObject(path);
            Write(json, content);
            json.WriteEndObject();
        }

        json.WriteEndObject();
        if (render.ConvertedFromHz.Count > 0)
        {
            json.WriteStartObject("convertedFromHz");
            foreach (var (stem, rateHz) in render.ConvertedFromHz.OrderBy(stem => stem.Key, StringComparer.Ordinal))
                json.WriteNumber(stem, rateHz);
            json.WriteEndObject();
        }

        if (render.Anchor is { } anchor)
            Write(json, anchor);
        WriteTree(json, render.Graph);
        WriteOutputs(json, render);
        WriteMeasures(json, render);
        if (render.Verdict is { } verdict)
            Write(json, verdict);
        WriteFindings(json, render);
        json.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter json, Verdict verdict)
    {
        json.WriteStartObject("verdict");
        json.WriteString("kind", ParameterName.InGraph(verdict.Kind.ToString()));
        json.WriteString("reason", verdict.Reason);
        json.WriteStartArray("rules");
        foreach (var rule in verdict.Rules)
        {
            json.WriteStartObject();
            json.WriteString("kind", ParameterName.InGraph(rule.Kind.ToString()));
            json.WriteString("about", rule.Words);
            Write(json, rule.Measured with { Name = rule.Name });
            WriteNumber(json, "atLeast", rule.AtLeast);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter json, ContentHash content)
    {
        json.WriteString("contentXxh128", content.Xxh128);
        json.WriteNumber("lengthBytes", content.LengthBytes);
    }

    private static void Write(Utf8JsonWriter json, LockedAnchor anchor)
    {
        json.WriteStartObject("anchor");
        json.WriteNumber("startFrame", anchor.StartFrame);
        if (anchor.Frequency is { } frequency)
        {
            json.WriteNumber("frequencyHz", frequency.FrequencyHz);
            json.WriteNumber("spreadHz", frequency.SpreadHz);
            json.WriteNumber("confidence", frequency.Confidence);
            json.WriteNumber("hitCount", frequency.HitCount);
        }

        if (anchor.Hits is { } hits)
        {
            // One hit a line, which the writer would not do with pairs.
            json.WritePropertyName("hits");
            var lines = hits.Select(hit => $"\n      [{CanonicalJson.Number(hit.Frame)}, {CanonicalJson.Number(hit.Strength)}]");
            json.WriteRawValue(hits.Count == 0 ? "[]" : $"[{string.Join(',', lines)}\n    ]");
        }

        json.WriteEndObject();
    }

    /// <summary>Paths as objects in each other.</summary>
    private static void WriteTree(Utf8JsonWriter json, IReadOnlyDictionary<string, string> values)
    {
        json.WriteStartObject("graph");
        string[] open = [];
        foreach (var (path, value) in values.OrderBy(value => value.Key, StringComparer.Ordinal))
        {
            var steps = path.Split(EffectiveGraph.Separator);
            var shared = 0;
            while (shared < Math.Min(open.Length, steps.Length - 1) && open[shared] == steps[shared])
                shared++;
            for (var depth = open.Length; depth > shared; depth--)
                json.WriteEndObject();
            foreach (var step in steps[shared..^1])
                json.WriteStartObject(step);
            open = steps[..^1];
            json.WritePropertyName(steps[^1]);
            json.WriteRawValue(value);
        }

        for (var depth = open.Length; depth > 0; depth--)
            json.WriteEndObject();
        json.WriteEndObject();
    }

    private static void WriteOutputs(Utf8JsonWriter json, RenderLock render)
    {
        json.WriteStartObject("outputs");
        foreach (var output in render.Outputs)
        {
            json.WriteStartObject(output.File);
            json.WriteString("output", output.Output);
            Write(json, output.Content);
            json.WriteNumber("channels", output.Channels);
            json.WriteString("encoding", ParameterName.InGraph(output.Encoding.ToString()));
            json.WriteString("container", output.Summary.Container);
            json.WriteNumber("lengthFrames", output.Summary.Frames);
            json.WriteNumber("peakAmplitude", output.Summary.PeakAmplitude);
            json.WriteNumber("clippedSamples", output.Summary.ClippedSamples);
            json.WriteEndObject();
        }

        json.WriteEndObject();
    }

    private static void WriteMeasures(Utf8JsonWriter json, RenderLock render)
    {
        if (render.Figures.Count > 0)
        {
            json.WriteStartObject("figures");
            foreach (var node in render.Figures)
            {
                json.WriteStartObject(node.Node);
                json.WriteString("type", node.Type);
                foreach (var figure in node.Figures)
                    WriteNumber(json, figure.Name, figure.Value);
                json.WriteEndObject();
            }

            json.WriteEndObject();
        }

        if (render.Measures.Count > 0)
        {
            json.WriteStartObject("measures");
            foreach (var point in render.Measures)
            {
                json.WriteStartObject(point.Point);
                json.WriteNumber("firstFrame", point.FirstFrame);
                json.WriteNumber("endFrame", point.EndFrame);
                foreach (var measurement in point.Measurements)
                    Write(json, measurement);
                json.WriteEndObject();
            }

            json.WriteEndObject();
        }

        if (render.Gates.Count > 0)
        {
            json.WriteStartArray("gates");
            foreach (var gate in render.Gates)
            {
                json.WriteStartObject();
                json.WriteString("gate", gate.Gate);
                json.WriteBoolean("holds", gate.Holds);
                WriteNumber(json, "value", gate.Value);
                if (gate.Stem is { } stem)
                    json.WriteString("stem", stem);
                json.WriteEndObject();
            }

            json.WriteEndArray();
        }
    }

    private static void Write(Utf8JsonWriter json, Measurement measurement)
    {
        if (measurement is { Reason: null, AtFrame: null })
        {
            WriteNumber(json, measurement.Name, measurement.Value);
            return;
        }

        var text = new StringBuilder("{ ");
        text.Append(measurement.Value is { } value ? $"\"value\": {CanonicalJson.Number(value)}" : $"\"notMeasurable\": {CanonicalJson.Text(measurement.Reason ?? "")}");
        if (measurement.AtFrame is { } frame)
            text.Append($", \"atFrame\": {CanonicalJson.Number(frame)}");
        json.WritePropertyName(measurement.Name);
        json.WriteRawValue(text.Append(" }").ToString());
    }

    private static void WriteFindings(Utf8JsonWriter json, RenderLock render)
    {
        if (render.Findings.Count == 0)
            return;
        json.WriteStartArray("findings");
        foreach (var finding in render.Findings)
        {
            json.WriteStartObject();
            if (finding.About != FindingAbout.Graph)
                json.WriteString(finding.About == FindingAbout.Output ? "output" : "file", finding.File);
            json.WriteString("code", finding.Code.Text());
            json.WriteString("severity", ParameterName.InGraph(finding.Severity.ToString()));
            if (finding.At != default)
            {
                json.WriteNumber("line", finding.At.Line);
                json.WriteNumber("column", finding.At.Column);
            }

            json.WriteString("sentence", finding.Sentence);
            json.WriteString("remedy", finding.Remedy);
            json.WriteEndObject();
        }

        json.WriteEndArray();
    }

    private static void WriteNumber(Utf8JsonWriter json, string name, double? value)
    {
        json.WritePropertyName(name);
        json.WriteRawValue(value is { } number ? CanonicalJson.Number(number) : "null");
    }
}
