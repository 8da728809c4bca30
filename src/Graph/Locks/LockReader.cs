using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Graph.Locks;

/// <summary>Reads what <see cref="LockWriter"/> wrote. Nobody else writes locks, so whatever else is there is told in one sentence.</summary>
public static class LockReader
{
    private const string Remedy = "Delete the lock: the next render measures and writes it anew";

    /// <summary>The lock of a file, or null if there is none; also null, after noting why, if it cannot be used.</summary>
    /// <param name="path">Full path.</param>
    /// <param name="shown">As messages write it.</param>
    public static RenderLock? ReadFile(string path, string shown, DiagnosticList diagnostics)
    {
        try
        {
            return File.Exists(path) ? Read(shown, File.ReadAllBytes(path), diagnostics) : null;
        }
        catch (FileNotFoundException)
        {
            return null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            diagnostics.Add(new(DiagnosticCode.LockUnreadable, shown, default, $"the lock cannot be read ({fault.Message.TrimEnd('.')})", "Allow yourself to read it, or delete it"));
            return null;
        }
    }

    /// <summary>The lock of a text; null, after noting why, if it is none, or of another format.</summary>
    public static RenderLock? Read(string shown, ReadOnlyMemory<byte> utf8, DiagnosticList diagnostics)
    {
        var syntax = new DiagnosticList();
        var root = JsonTreeReader.Read(shown, utf8, syntax);
        if (root is null || syntax.HasErrors)
        {
            var fault = syntax.InOrder[0];
            return Refuse(fault.At, $"the lock is damaged: {fault.Sentence}", Remedy);
        }

        try
        {
            var members = Members(root);
            var format = members.Number("lockFormat");
            if (format != RenderLock.Format)
            {
                return Refuse(
                    members.At("lockFormat"), $"the lock is of format {CanonicalJson.Number(format)}, but this version reads format {RenderLock.Format} only",
                    "Use the version that wrote it, or delete it: the next render measures and writes it anew");
            }

            return Read(members);
        }
        catch (FormatException fault)
        {
            return Refuse(default, $"the lock is damaged: {fault.Message}", Remedy);
        }

        RenderLock? Refuse(TextPosition at, string sentence, string remedy)
        {
            diagnostics.Add(new(DiagnosticCode.LockUnreadable, shown, at, sentence, remedy));
            return null;
        }
    }

    private static RenderLock Read(Parts members)
    {
        var graph = new SortedDictionary<string, string>(StringComparer.Ordinal);
        Flatten(graph, "", members.Find("graph") ?? throw Missing("graph"));
        return new()
        {
            EngineVersion = members.Text("engineVersion"),
            GraphXxh128 = members.Text("graphXxh128"),
            IsOutsideAllowed = members.Find("outsideAllowed") is JsonFlag { Value: true },
            SampleRateHz = (int)members.Whole("sampleRateHz"),
            LatencyFrames = (int)members.Whole("latencyFrames"),
            Inputs = members.Objects("inputs").ToDictionary(input => input.Name, input => Content(input.Parts), StringComparer.Ordinal),
            ConvertedFromHz = members.Find("convertedFromHz") is JsonObject converted
                ? converted.Members.ToDictionary(stem => stem.Name, stem => (int)Whole(stem.Name, stem.Value), StringComparer.Ordinal)
                : new Dictionary<string, int>(),
            Anchor = members.Find("anchor") is { } anchor ? Anchor(Members(anchor)) : null,
            Graph = graph,
            Outputs = [.. members.Objects("outputs").Select(output => Output(output.Name, output.Parts))],
            Figures = members.Find("figures") is null ? [] : [.. members.Objects("figures").Select(node => Figures(node.Name, node.Parts))],
            Measures = members.Find("measures") is null ? [] : [.. members.Objects("measures").Select(point => Measures(point.Name, point.Parts))],
            Gates = [.. members.Items("gates").Select(gate => new LockedGate(
                gate.Text("gate"), gate.Find("holds") is JsonFlag { Value: true }, (gate.Find("value") as JsonNumber)?.Value, (gate.Find("stem") as JsonText)?.Value))],
            Verdict = members.Find("verdict") is { } verdict ? Verdict(Members(verdict)) : null,
            Findings = [.. members.Items("findings").Select(Finding)],
        };
    }

    private static void Flatten(SortedDictionary<string, string> values, string path, JsonValue value)
    {
        // An object that is itself a value stands in a list; an empty one is a value.
        if (value is not JsonObject { Members.Count: > 0 } body)
        {
            values[path] = CanonicalJson.Of(value);
            return;
        }

        foreach (var member in body.Members)
            Flatten(values, path.Length == 0 ? member.Name : path + EffectiveGraph.Separator + member.Name, member.Value);
    }

    private static ContentHash Content(Parts parts) => new(parts.Text("contentXxh128"), parts.Whole("lengthBytes"));

    private static LockedAnchor Anchor(Parts parts) => new(
        parts.Whole("startFrame"),
        parts.Find("hits") is JsonArray hits ? [.. hits.Items.Select(Hit)] : null,
        parts.Find("frequencyHz") is null ? null : new(parts.Number("frequencyHz"), parts.Number("spreadHz"), parts.Number("confidence"), (int)parts.Whole("hitCount")));

    private static Hit Hit(JsonValue value) => value is JsonArray { Items: [JsonNumber frame, JsonNumber strength] }
        ? new(Whole("hits", frame), strength.Value)
        : throw new FormatException("a hit is no pair of numbers");

    private static LockedOutput Output(string file, Parts parts) => new(
        OutputFileName.Fault(file) is { } fault ? throw new FormatException($"\"{Shown.Short(file)}\" is no output: {fault.Sentence}") : file, parts.Text("output"), Content(parts), (int)parts.Whole("channels"),
        Enum.TryParse<SampleEncoding>(parts.Text("encoding"), ignoreCase: true, out var encoding) ? encoding : throw new FormatException($"\"{parts.Text("encoding")}\" is no encoding"),
        new(parts.Whole("lengthFrames"), parts.Number("peakAmplitude"), parts.Whole("clippedSamples"), parts.Text("container")));

    private static NodeFigures Figures(string node, Parts parts) => new(
        node, parts.Text("type"), [.. parts.All.Where(member => member.Name != "type").Select(member => new Figure(member.Name, (member.Value as JsonNumber)?.Value))]);

    private static LockedMeasures Measures(string point, Parts parts) => new(
        point, parts.Whole("firstFrame"), parts.Whole("endFrame"),
        [.. parts.All.Where(member => member.Name is not ("firstFrame" or "endFrame")).Select(Measured)]);

    private static Measurement Measured(JsonMember member) => member.Value switch
    {
        JsonNumber number => new(member.Name, number.Value),
        JsonObject body => new(
            member.Name, (body.Find("value")?.Value as JsonNumber)?.Value, (body.Find("notMeasurable")?.Value as JsonText)?.Value,
            body.Find("atFrame")?.Value is { } frame ? Whole("atFrame", frame) : null),
        _ => throw new FormatException($"\"{member.Name}\" is no measure"),
    };

    private static Verdict Verdict(Parts parts) => new(Word<VerdictKind>(parts, "kind"), parts.Text("reason"), [.. parts.Items("rules").Select(rule =>
    {
        var measured = Measured(rule.All.FirstOrDefault(member => member.Name is not ("kind" or "about" or "atLeast")) ?? throw Missing("the measure of a rule"));
        return new VerdictRule(measured.Name, Word<VerdictRuleKind>(rule, "kind"), measured, (rule.Find("atLeast") as JsonNumber)?.Value, null, rule.Text("about"));
    })]);

    private static T Word<T>(Parts parts, string name) where T : struct, Enum =>
        Enum.TryParse<T>(parts.Text(name), ignoreCase: true, out var word) ? word : throw new FormatException($"\"{parts.Text(name)}\" is no {name}");

    private static LockedFinding Finding(Parts parts)
    {
        var (about, file) = parts.Find("output") is not null ? (FindingAbout.Output, parts.Text("output"))
            : parts.Find("file") is not null ? (FindingAbout.File, parts.Text("file"))
            : (FindingAbout.Graph, "");
        var code = parts.Text("code");
        if (!code.StartsWith("RG", StringComparison.Ordinal) || !int.TryParse(code[2..], NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            throw new FormatException($"\"{code}\" is no code");
        return new(
            about, file, (DiagnosticCode)number, parts.Text("severity") == "error" ? Severity.Error : Severity.Warning,
            parts.Find("line") is null ? default : new((int)parts.Whole("line"), (int)parts.Whole("column")), parts.Text("sentence"), parts.Text("remedy"));
    }

    private static Parts Members(JsonValue value) => value is JsonObject body ? new(body) : throw new FormatException("an object was wanted, and something else stands there");

    private static long Whole(string name, JsonValue value) =>
        value is JsonNumber { Value: var number } && Math.Abs(number) <= 1L << 53 && Math.Floor(number) == number ? (long)number : throw new FormatException($"\"{name}\" is no whole number");

    private static FormatException Missing(string name) => new($"\"{name}\" is missing, or of the wrong kind");

    /// <summary>The members of an object, each asked for by its name.</summary>
    private readonly record struct Parts(JsonObject Body)
    {
        public IReadOnlyList<JsonMember> All => Body.Members;

        public JsonValue? Find(string name) => Body.Find(name)?.Value;

        public TextPosition At(string name) => Body.Find(name)!.Value.At;

        public string Text(string name) => Find(name) is JsonText text ? text.Value : throw Missing(name);

        public double Number(string name) => Find(name) is JsonNumber { Value: var number } && double.IsFinite(number) ? number : throw Missing(name);

        public long Whole(string name) => LockReader.Whole(name, Find(name) ?? throw Missing(name));

        public IEnumerable<(string Name, Parts Parts)> Objects(string name) =>
            Find(name) is JsonObject body ? body.Members.Select(member => (member.Name, Members(member.Value))) : throw Missing(name);

        public IEnumerable<Parts> Items(string name) => Find(name) is JsonArray array ? array.Items.Select(Members) : [];
    }
}
