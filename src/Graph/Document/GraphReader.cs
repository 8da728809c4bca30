using System.Globalization;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Document;

/// <summary>The only entrance: a graph's text becomes a document. Parameters of nodes are left to <c>GraphValidator</c>, who asks the nodes.</summary>
public sealed class GraphReader
{
    /// <summary>The format that this version reads.</summary>
    public const int Format = 1;

    private const string Measure = "measure";

    private readonly string _file;
    private readonly NodeCatalog _catalog;
    private readonly DiagnosticList _diagnostics;
    private readonly bool _isRecipe;
    private readonly MeasureReader _measures;
    private readonly HashSet<string> _leftOut = new(StringComparer.Ordinal);
    private bool _hasAllNames = true;
    private bool _hasFaultyOutputs;
    private bool _isWhole = true;

    private GraphReader(string file, NodeCatalog catalog, DiagnosticList diagnostics, bool isRecipe)
    {
        (_file, _catalog, _diagnostics, _isRecipe, _measures) = (file, catalog, diagnostics, isRecipe, new(catalog.Meters));
    }

    /// <summary>Reads as much of a document as can be made and notes every fault.</summary>
    /// <param name="file">The file as the user named it.</param>
    /// <returns>Null only if the text is no JSON object, too large, or of another format, whose rules are not known here.</returns>
    public static GraphDocument? Read(string file, ReadOnlyMemory<byte> utf8, NodeCatalog catalog, DiagnosticList diagnostics) =>
        JsonTreeReader.Read(file, utf8, diagnostics) is { } root ? Read(file, root, catalog, diagnostics) : null;

    /// <summary>Reads a document from a tree, which may have been put together from several files.</summary>
    /// <inheritdoc cref="Read(string, ReadOnlyMemory{byte}, NodeCatalog, DiagnosticList)"/>
    public static GraphDocument? Read(string file, JsonValue root, NodeCatalog catalog, DiagnosticList diagnostics) => Read(file, root, catalog, diagnostics, isRecipe: false);

    /// <summary>Reads a recipe: the same format, but stems may say which files they take (<see cref="StemEntry.Match"/>).</summary>
    /// <inheritdoc cref="Read(string, ReadOnlyMemory{byte}, NodeCatalog, DiagnosticList)"/>
    public static GraphDocument? ReadRecipe(string file, JsonValue root, NodeCatalog catalog, DiagnosticList diagnostics) => Read(file, root, catalog, diagnostics, isRecipe: true);

    private static GraphDocument? Read(string file, JsonValue root, NodeCatalog catalog, DiagnosticList diagnostics, bool isRecipe)
    {
        if (root is JsonObject graph)
            return new GraphReader(file, catalog, diagnostics, isRecipe).Read(graph);
        diagnostics.Add(new(
            DiagnosticCode.WrongType, file, root.At, $"the graph is {Shown.Value(root)}, but it must be an object",
            "Write { \"format\": 1, \"stems\": { ... }, \"outputs\": { ... } }"));
        return null;
    }

    private GraphDocument? Read(JsonObject root)
    {
        var graph = new ObjectReader(root, "the graph", root.At, _file, _diagnostics);
        if (!IsOurFormat(graph) || !GraphSize.Check(graph, root))
            return null;
        if (!_isRecipe && RecipeKeys.MarkOf(root) is { } mark)
        {
            graph.Report(
                DiagnosticCode.NotBound, mark.At, "this is a recipe: its stems say which files they match, and not which they are",
                $"Bind it to a song's folder, rendergraph bind {Path.GetFileName(_file)} FOLDER, and use the graph that this writes");
            return null;
        }

        graph.Text("$schema", "a text", "\"render-graph.schema.json\"");
        var title = graph.Text("title", "a text", "\"Harbour Lights\"")?.Value;
        var tempoBpm = graph.Number("tempoBpm", 20, 400);
        var alignBy = ReadAlignBy(graph) ?? AlignBy.Start;
        var rateHz = graph.Integer("sampleRateHz", 8000, 384000);
        Located<int>? sampleRateHz = rateHz is { } hz ? new(hz, root.Find("sampleRateHz")!.Value.At) : null;

        var stems = Section(graph, "stems").Select(member => ReadStem(graph, member)).OfType<StemEntry>().ToList();
        var anchor = ReadAnchor(graph);
        var nodeReader = new NodeReader(graph, _catalog, anchor, _measures, _leftOut);
        var stemPlaces = stems.ToDictionary(stem => stem.Id, stem => stem.At);
        var nodes = Section(graph, "nodes").Where(member => IsNewName(graph, member, stemPlaces)).Select(nodeReader.Read).OfType<NodeEntry>().ToList();
        var outputs = Section(graph, "outputs").Select(member => ReadOutput(graph, member)).OfType<OutputEntry>().ToList();
        var expectations = new ExpectationReader(graph, _catalog.Meters, outputs, _measures).ReadAll();
        var origin = _isRecipe ? null : ReadOrigin(graph);
        var leaveOut = _isRecipe ? RecipeKeys.ReadLeaveOut(graph) : [];
        graph.ReportKeys();
        var document = new GraphDocument(_file, title, tempoBpm, sampleRateHz, stems, anchor, nodes, outputs)
        {
            LeftOut = _leftOut,
            HasAllNames = _hasAllNames,
            HasFaultyOutputs = _hasFaultyOutputs,
            IsWhole = _isWhole && _hasAllNames && !_hasFaultyOutputs && _leftOut.Count == 0,
            AlignBy = alignBy,
            Measured = _measures.Points,
            Expectations = expectations,
            Origin = origin,
            LeaveOut = leaveOut,
            At = root.At,
            Root = root,
        };
        return ComparedNodes.Measured(document, _catalog);
    }

    private static GraphOrigin? ReadOrigin(ObjectReader graph)
    {
        switch (graph.Find("boundFrom"))
        {
            case null:
                return null;
            case JsonObject body:
                var origin = graph.Inner(body, "the graph's origin", body.At);
                var recipe = origin.Text("recipe", "the name of a recipe", "\"recipe.json\"", isRequired: true);
                var dropped = origin.Texts("dropped", "what was left out") ?? [];
                origin.ReportKeys();
                return recipe is { } name ? new(name.Value, dropped) : null;
            case var other:
                graph.ReportWrongType("boundFrom", other, "an object, as bind writes it", "Remove it, or bind the graph once more");
                return null;
        }
    }

    private static bool IsOurFormat(ObjectReader graph)
    {
        switch (graph.Find("format"))
        {
            case JsonNumber { Value: Format }:
                return true;
            case JsonNumber other:
                graph.Report(
                    DiagnosticCode.UnknownFormat, other.At, $"the graph is of format {Shown.Value(other)}, but this version reads format 1 only",
                    "Use the version that the graph was written for, or write it anew as format 1");
                return false;
            case null:
                graph.ReportMissing("format", "\"format\": 1");
                return true;
            case var value:
                graph.ReportWrongType("format", value, "the number 1", "Write \"format\": 1");
                return true;
        }
    }

    /// <summary>The members of a section of things with ids; bad ids are noted and kept.</summary>
    private IEnumerable<JsonMember> Section(ObjectReader graph, string name)
    {
        switch (graph.Find(name))
        {
            case JsonObject section:
                foreach (var member in section.Members)
                    Name.Check(graph, name, member, section);
                return section.Members;
            case null:
                return [];
            case var other:
                graph.Report(
                    DiagnosticCode.WrongType, other.At, $"{name} is {Shown.Value(other)}, but it must be an object of names",
                    $"Write \"{name}\": {{ \"a-name\": {{ ... }} }}");
                if (name == "outputs")
                    _hasFaultyOutputs = true;
                else
                    _hasAllNames = false;
                return [];
        }
    }

    private bool IsNewName(ObjectReader graph, JsonMember member, Dictionary<string, TextPosition> stems)
    {
        if (!stems.TryGetValue(member.Name, out var first))
            return true;
        _isWhole = false;
        graph.Report(
            DiagnosticCode.DuplicateName, member.At,
            string.Create(CultureInfo.InvariantCulture, $"node \"{member.Name}\" has the name of the stem in line {first.Line}, column {first.Column}"),
            "Give one of them another name: stems and nodes share their names");
        return false;
    }

    private StemEntry? ReadStem(ObjectReader graph, JsonMember member)
    {
        var subject = $"stem \"{Shown.Short(member.Name)}\"";
        if (member.Value is not JsonObject body)
        {
            var file = member.Value is JsonText text ? Shown.Value(text) : "\"kick.wav\"";
            graph.Report(
                DiagnosticCode.WrongType, member.Value.At, $"{subject} is {Shown.Value(member.Value)}, but it must be an object",
                _isRecipe && member.Value is JsonText ? $"Write {{ \"file\": {file} }}, or \"match\" and a pattern" : $"Write {{ \"file\": {file} }}");
            _leftOut.Add(member.Name);
            return null;
        }

        var stem = graph.Inner(body, subject, member.At);
        var match = _isRecipe ? RecipeKeys.ReadStem(stem) : null;
        var path = _isRecipe ? match is null ? null : new Located<string>("", match.At) : stem.Text("file", "the path of an audio file", "\"stems/kick.wav\"", isRequired: true);
        var gainDb = stem.Number("gainDb", Connection.MinGainDb, Connection.MaxGainDb) ?? 0;
        var isMuted = stem.Flag("muted") ?? false;
        var startMs = stem.Number("startMs", -600_000, 3_600_000) ?? 0;
        var channels = stem.Integers("channels", most: 2, 1, 32, "[1, 2]");
        var alignBy = ReadAlignBy(stem);
        var resample = stem.Flag("resample");
        var isUntreated = stem.Flag("untreated");
        _measures.Read(stem, PointKind.Signal, member.Name);
        stem.ReportKeys();
        if (path is { } found)
            return new(member.Name, member.At, found, gainDb, isMuted, startMs) { Channels = channels, AlignBy = alignBy, Resample = resample, IsUntreated = isUntreated, Match = match };
        _leftOut.Add(member.Name);
        return null;
    }

    private static AlignBy? ReadAlignBy(ObjectReader owner) =>
        owner.Word("alignBy", ["start", "timeReference"]) switch { "start" => AlignBy.Start, "timeReference" => AlignBy.TimeReference, _ => null };

    private AnchorEntry? ReadAnchor(ObjectReader graph)
    {
        switch (graph.Find("anchor"))
        {
            case null:
                return null;
            case JsonObject body:
                var anchor = graph.Inner(body, "the anchor", body.At);
                var stem = anchor.Text("stem", "the name of a stem", "\"kick\"", isRequired: true);
                var frequency = anchor.Find("frequencyHz");
                var isMeasured = frequency is JsonText { Value: Measure };
                var frequencyHz = frequency is null || isMeasured ? null : anchor.NumberOf("frequencyHz", frequency, 20, 1000, $"a number, or \"{Measure}\"");
                var hits = anchor.Text("hits", $"\"{Measure}\" or the path of a text file", "\"hits.csv\"");
                var isOptional = _isRecipe && (anchor.Flag(RecipeKeys.Optional) ?? false);
                anchor.ReportKeys();
                return new(stem ?? new("", body.At), frequencyHz, body.At, IsFrequencyRefused: frequency is not null && frequencyHz is null && !isMeasured)
                {
                    MeasureFrequencyAt = isMeasured ? frequency!.At : null,
                    MeasureHitsAt = hits is { Value: Measure } ? hits.Value.At : null,
                    HitsFile = hits is { Value: not Measure } ? hits : null,
                    IsOptional = isOptional,
                };
            case var other:
                graph.Report(
                    DiagnosticCode.WrongType, other.At, $"the anchor is {Shown.Value(other)}, but it must be an object",
                    $"Write {{ \"stem\": {(other is JsonText text ? Shown.Value(text) : "\"kick\"")}, \"frequencyHz\": 55 }}");
                return new(new("", other.At), null, other.At, IsFrequencyRefused: true);
        }
    }

    private OutputEntry? ReadOutput(ObjectReader graph, JsonMember member)
    {
        var subject = $"output \"{Shown.Short(member.Name)}\"";
        if (member.Value is not JsonObject body)
        {
            graph.Report(
                DiagnosticCode.WrongType, member.Value.At, $"{subject} is {Shown.Value(member.Value)}, but it must be an object",
                "Write { \"in\": \"mix\", \"file\": \"mix.wav\" }");
            _hasFaultyOutputs = true;
            return null;
        }

        var output = graph.Inner(body, subject, member.At);
        var from = output.Text("in", "the name of a stem, a node or a step", "\"mix\"", isRequired: true);
        var kind = Choice(output, "kind", OutputKind.Signal);
        var file = output.Text("file", "the name of a .wav file", kind == OutputKind.Stems ? "\"parts/*.wav\"" : "\"mix.wav\"", isRequired: true);
        // Rounded to 24 bits each, many stems would add up to a sum that is further off.
        var encoding = Choice(output, "encoding", kind == OutputKind.Stems ? SampleEncoding.Float32 : SampleEncoding.Pcm24);
        int? channels = output.Word("channels", ["mono", "stereo"]) switch { "mono" => 1, "stereo" => 2, _ => null };
        var tailMs = output.Number("tailMs", 0, 60_000) ?? 0;
        var cuesAt = output.Word("cues", ["hits"]) is null ? null : output.Find("cues")?.At;
        var bextFrom = output.Text("bextFrom", "the name of a stem", "\"kick\"");
        var wanted = _catalog.Treatments.Where(treatment => output.Find(treatment.Key) is not null).ToList();
        var gainOf = output.Text("gainOf", "the name of an output that has a loudness", "\"mix\"");
        _measures.Read(output, PointKind.Output, member.Name, always: wanted.SelectMany(treatment => treatment.Measures));
        var compared = kind == OutputKind.Signal ? wanted.SelectMany(treatment => treatment.ComparesWithUntreated).ToList() : [];
        if (compared.Count > 0)
        {
            var point = MeasuredPoint.Of(PointKind.Output, member.Name, output.At, _catalog.Meters, compared);
            _measures.Add(point);
            _measures.Add(point with { IsUntreated = true });
        }

        output.ReportKeys();
        if (from is { } source && file is { } target)
        {
            return new(member.Name, member.At, source, target, encoding, channels, tailMs)
            {
                Kind = kind,
                Treatments = wanted.ConvertAll(treatment => Treatment(treatment, member.Name, body, source, hasChannels: channels is not null)),
                CuesAtHitsAt = cuesAt,
                BextFrom = bextFrom,
                GainOf = gainOf,
            };
        }

        _hasFaultyOutputs = true;
        return null;
    }

    /// <summary>A node that has of the output's keys the one that asks for it.</summary>
    private static NodeEntry Treatment(OutputTreatment treatment, string output, JsonObject body, Located<string> from, bool hasChannels)
    {
        var asked = body.Find(treatment.Key)!;
        var members = treatment.SetsLevel && hasChannels ? new[] { asked, body.Find("channels")! } : [asked];
        return new(
            $"{output} {treatment.Type.Name}", asked.At, treatment.Type, Bypass: false, [new(from.Value, 0, from.At)], new JsonObject(asked.At, members), [])
        {
            Owner = $"output \"{output}\"",
        };
    }

    private static T Choice<T>(ObjectReader owner, string name, T otherwise) where T : struct, Enum
    {
        var words = Enum.GetNames<T>().Select(ParameterName.InGraph).ToList();
        return owner.Word(name, words) is { } word ? Enum.GetValues<T>()[words.IndexOf(word)] : otherwise;
    }
}
