using System.Globalization;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>
/// What a song says differently from its recipe: <c>song.json</c>, the format of a graph with only those keys that change. Objects merge key by key, any other value replaces the recipe's,
/// and null takes away what the recipe says. A song changes stems, nodes and outputs and adds none. Every value keeps its place, so that a fault in it is told where it stands.
/// </summary>
internal sealed class SongOverrides
{
    private readonly string _file;
    private readonly DiagnosticList _diagnostics;
    private readonly HashSet<string> _absentStems = new(StringComparer.Ordinal);
    private readonly HashSet<string> _absentOutputs = new(StringComparer.Ordinal);

    private SongOverrides(string file, DiagnosticList diagnostics) => (_file, _diagnostics) = (file, diagnostics);

    /// <summary>The recipe as it is for this song.</summary>
    public JsonObject Tree { get; private set; } = new(default, []);

    /// <summary>Stems that the song says it does not have.</summary>
    public IReadOnlySet<string> AbsentStems => _absentStems;

    /// <summary>Outputs that the song does not want.</summary>
    public IReadOnlySet<string> AbsentOutputs => _absentOutputs;

    /// <summary>Whether the song says that it has no anchor.</summary>
    public bool HasNoAnchor { get; private set; }

    /// <summary>The title that the song has, or null.</summary>
    public JsonValue? Title { get; private set; }

    /// <summary>A recipe of which a song changes nothing.</summary>
    public static SongOverrides None(JsonObject recipe, DiagnosticList diagnostics) => new("", diagnostics) { Tree = recipe };

    /// <summary>Merges a song's text into a recipe. Faults are noted at their place in it; what is at fault leaves the recipe as it was.</summary>
    /// <param name="file">The song's file as messages call it.</param>
    public static SongOverrides Read(JsonObject recipe, string file, ReadOnlyMemory<byte> utf8, DiagnosticList diagnostics)
    {
        var overrides = new SongOverrides(file, diagnostics) { Tree = recipe };
        switch (JsonTreeReader.ReadPart(file, utf8, diagnostics))
        {
            case JsonObject song when IsWholeGraph(song, recipe):
                overrides.Report(
                    DiagnosticCode.NotBound, song.At, "this is a graph of its own, but in a song's folder a file of this name says what is different from the recipe",
                    "Give the graph another name, or keep of it only what is different in this song");
                break;
            case JsonObject song:
                overrides.Tree = overrides.Merge(recipe, song);
                break;
            case { } other:
                overrides.Report(DiagnosticCode.WrongType, other.At, $"a song's own file is {Shown.Value(other)}, but it must be an object", "Write { \"tempoBpm\": 96 }, or whatever is different in this song");
                break;
        }

        return overrides;
    }

    /// <summary>Somebody's graph that happens to be called so: it has stems, and nodes or outputs that are whole and that the recipe does not have.</summary>
    private static bool IsWholeGraph(JsonObject song, JsonObject recipe)
    {
        return song.Find("stems") is not null && song.Find("outputs") is not null && (HasNew("nodes", "type") || HasNew("outputs", "file"));

        bool HasNew(string section, string key) => song.Find(section)?.Value is JsonObject written
            && written.Members.Any(member => member.Value is JsonObject body && body.Find(key) is not null && (recipe.Find(section)?.Value as JsonObject)?.Find(member.Name) is null);
    }

    private JsonObject Merge(JsonObject recipe, JsonObject song)
    {
        var reader = new ObjectReader(song, "the song", song.At, _file, _diagnostics);
        if (reader.Find("format") is { } format and not JsonNumber { Value: GraphReader.Format })
            Report(DiagnosticCode.UnknownFormat, format.At, $"the song is of format {Shown.Value(format)}, but this version reads format 1 only", "Write \"format\": 1, or leave it out");
        reader.Text("$schema", "a text", "\"render-graph.schema.json\"");
        Title = reader.Find("title");
        var members = recipe.Members.ToList();
        foreach (var key in (string[])["title", "tempoBpm", "sampleRateHz", "alignBy", "expect", RecipeKeys.LeaveOut])
        {
            if (reader.Find(key) is not null)
                members = Put(members, song.Find(key)!, "the recipe", out _);
        }

        if (reader.Find("anchor") is { } anchor)
        {
            if (anchor is JsonNull)
                HasNoAnchor = true;
            else
                members = Put(members, song.Find("anchor")!, "the recipe", out _);
        }

        foreach (var (section, kind) in (ReadOnlySpan<(string, string)>)[("stems", "stem"), ("nodes", "node"), ("outputs", "output")])
        {
            if (reader.Find(section) is { } value)
                members = MergeSection(members, section, kind, value);
        }

        reader.ReportKeys();
        if (Title is JsonNull)
            Title = null;
        return recipe with { Members = members };
    }

    private List<JsonMember> MergeSection(List<JsonMember> root, string section, string kind, JsonValue value)
    {
        if (value is not JsonObject song)
        {
            Report(DiagnosticCode.WrongType, value.At, $"{section} is {Shown.Value(value)}, but it must be an object of names", $"Write \"{section}\": {{ \"a-name\": {{ ... }} }}");
            return root;
        }

        var index = root.FindIndex(member => member.Name == section);
        var recipe = index < 0 ? null : root[index].Value as JsonObject;
        if (recipe is null && index >= 0)
            return root; // the recipe's own fault
        var members = recipe?.Members.ToList() ?? [];
        var places = new Dictionary<string, int>(StringComparer.Ordinal);
        for (var place = 0; place < members.Count; place++)
            places.TryAdd(members[place].Name, place);
        foreach (var change in song.Members)
        {
            if (places.TryGetValue(change.Name, out var at))
            {
                if (change.Value is JsonNull)
                    Remove(section, kind, change, at);
                else
                    members[at] = members[at] with { Value = Merged(section == "stems" ? WithoutTheOther(members[at].Value, change.Value) : members[at].Value, change.Value, $"{kind} \"{Shown.Short(change.Name)}\" of the recipe") };
            }
            else if (section == "nodes" && StepOf(change.Name, members, places) is { } step)
            {
                members[step.Node] = members[step.Node] with { Value = WithStep((JsonObject)members[step.Node].Value, step.Index, change) };
            }
            else
            {
                var near = NearestName.Of(change.Name, places.Keys);
                Report(
                    DiagnosticCode.UnknownName, change.At, $"the song changes {kind} \"{Shown.Short(change.Name)}\", but the recipe has no {kind} of that name",
                    near is not null ? $"Did you mean \"{near}\"?" : places.Count > 0 ? $"The recipe has {Shown.Few(places.Keys)}" : $"Remove it; the recipe has no {section}");
            }
        }

        if (index < 0)
            return root;
        root[index] = root[index] with { Value = recipe! with { Members = members } };
        return root;

        void Remove(string section, string kind, JsonMember change, int at)
        {
            if (section == "outputs")
            {
                _absentOutputs.Add(change.Name);
            }
            else if (section == "nodes")
            {
                Report(DiagnosticCode.WrongType, change.Value.At, $"the song says null of {kind} \"{change.Name}\", but a song cannot take a node away", "Write { \"bypass\": true } to let the signal pass");
            }
            else if ((members[at].Value as JsonObject)?.Find(RecipeKeys.Optional)?.Value is JsonFlag { Value: true })
            {
                _absentStems.Add(change.Name);
            }
            else
            {
                Report(
                    DiagnosticCode.Contradiction, change.Value.At, $"the song says that it has no stem \"{change.Name}\", but the recipe needs one",
                    "Name its file, { \"file\": ... }, or let the recipe say that the stem is \"optional\": true");
            }
        }
    }

    // file and match stand for each other: whichever the song gives takes the place of both.
    private static JsonValue WithoutTheOther(JsonValue recipe, JsonValue song) =>
        recipe is JsonObject body && song is JsonObject change && (change.Find(RecipeKeys.File) ?? change.Find(RecipeKeys.Match)) is { } given
            ? body with { Members = [.. body.Members.Where(member => member.Name == given.Name || member.Name is not (RecipeKeys.File or RecipeKeys.Match))] }
            : recipe;

    private static (int Node, int Index)? StepOf(string name, List<JsonMember> nodes, Dictionary<string, int> places) =>
        name.LastIndexOf('.') is var stop and > 0 && places.TryGetValue(name[..stop], out var node)
        && int.TryParse(name[(stop + 1)..], NumberStyles.None, CultureInfo.InvariantCulture, out var number)
        && nodes[node].Value is JsonObject body && body.Find("steps")?.Value is JsonArray steps && number >= 1 && number <= steps.Items.Count
            ? (node, number - 1)
            : null;

    private JsonObject WithStep(JsonObject chain, int index, JsonMember change)
    {
        if (change.Value is JsonNull)
        {
            Report(DiagnosticCode.WrongType, change.Value.At, $"the song says null of step \"{change.Name}\", but a song cannot take a step away", "Write { \"bypass\": true } to let the signal pass");
            return chain;
        }

        return chain with { Members = [.. chain.Members.Select(member => member.Name == "steps" ? member with { Value = Changed((JsonArray)member.Value) } : member)] };

        JsonArray Changed(JsonArray steps) => steps with
        {
            Items = [.. steps.Items.Select((step, place) => place == index ? Merged(step, change.Value, $"step \"{change.Name}\" of the recipe") : step)],
        };
    }

    private JsonValue Merged(JsonValue recipe, JsonValue song, string subject)
    {
        if (recipe is not JsonObject body || song is not JsonObject change)
            return song;
        var members = body.Members.ToList();
        var removed = body.Removed.ToList();
        foreach (var member in change.Members)
        {
            members = Put(members, member, subject, out var isRemoved);
            if (isRemoved)
                removed.Add((member.Name, member.At));
        }

        return body with { Members = members, Removed = removed };
    }

    private List<JsonMember> Put(List<JsonMember> members, JsonMember change, string subject, out bool isRemoved)
    {
        isRemoved = false;
        var index = members.FindIndex(member => member.Name == change.Name);
        if (change.Value is not JsonNull)
        {
            if (index < 0)
                members.Add(change);
            else
                members[index] = change with { Value = Merged(members[index].Value, change.Value, subject) };
        }
        else if (index >= 0)
        {
            members.RemoveAt(index);
            isRemoved = true;
        }
        else if (change.Name != "title")
        {
            Report(
                DiagnosticCode.UnknownKey, change.At, $"null takes \"{Shown.Short(change.Name)}\" away, but {subject} does not have it",
                NearestName.Of(change.Name, members.Select(member => member.Name)) is { } near ? $"Did you mean \"{near}\"?" : "Remove the line");
        }

        return members;
    }

    private void Report(DiagnosticCode code, TextPosition at, string sentence, string remedy) => _diagnostics.Add(new(code, _file, at, sentence, remedy));
}
