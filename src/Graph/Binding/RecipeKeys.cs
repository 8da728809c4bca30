using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>Reads what only a recipe says: which files its stems take, and which files are none.</summary>
internal static class RecipeKeys
{
    /// <summary>The keys themselves.</summary>
    public const string Match = "match", Many = "many", Optional = "optional", File = "file", LeaveOut = "leaveOut";

    private const int MostPatterns = 1000;

    /// <summary>Where a graph shows itself to be a recipe, or null: the first stem that is matched.</summary>
    public static JsonMember? MarkOf(JsonObject root) => (root.Find("stems")?.Value as JsonObject)?.Members
        .Select(stem => (stem.Value as JsonObject)?.Find(Match)).FirstOrDefault(match => match is not null);

    /// <summary>What a stem takes, or null after noting a fault.</summary>
    public static StemMatch? ReadStem(ObjectReader stem)
    {
        var (isMany, isOptional) = (stem.Flag(Many) ?? false, stem.Flag(Optional) ?? false);
        var (match, file) = (stem.Find(Match), stem.Find(File));
        if (match is not null && file is not null)
        {
            stem.Report(DiagnosticCode.Contradiction, file.At, $"{stem.Subject} has both \"match\" and \"file\", but it takes its files either way", "Remove one of them");
            return null;
        }

        switch (file)
        {
            case JsonText one:
                return new(one.At, [], [new(one.Value, one.At)], isMany, isOptional);
            case JsonArray { Items.Count: > 0 } list when isMany && list.Items.All(item => item is JsonText):
                return new(list.At, [], [.. list.Items.Cast<JsonText>().Select(item => new Located<string>(item.Value, item.At))], isMany, isOptional);
            case not null:
                stem.ReportWrongType(
                    File, file, isMany ? "the path of an audio file, or a list of them" : "the path of an audio file",
                    file is JsonArray && !isMany ? "Name one file, or add \"many\": true to have several summed" : "Write it between double quotes, such as \"kick.wav\"");
                return null;
        }

        if (match is null)
        {
            stem.ReportMissing(Match, "\"match\", a pattern of file names such as \"*kick*\", or a list of them");
            return null;
        }

        var patterns = ReadPatterns(stem, Match, match);
        if (patterns is null)
            return null;
        if (!patterns.Any(pattern => !pattern.IsExclusion))
        {
            stem.Report(DiagnosticCode.BadPattern, match.At, $"{stem.Subject} only says what it does not take", "Add what it takes: \"*\" is everything else");
            return null;
        }

        return new(match.At, patterns, [], isMany, isOptional);
    }

    /// <summary>Patterns of files that are no stems.</summary>
    public static IReadOnlyList<NamePattern> ReadLeaveOut(ObjectReader graph)
    {
        if (graph.Find(LeaveOut) is not { } value || ReadPatterns(graph, LeaveOut, value) is not { } patterns)
            return [];
        if (patterns.FirstOrDefault(pattern => pattern.IsExclusion) is { } wrong)
            graph.Report(DiagnosticCode.BadPattern, wrong.At, $"\"{LeaveOut}\" has the exclusion \"{Shown.Short(wrong.Written)}\", but it is itself a list of what is not taken", "Remove the exclamation mark, or the whole pattern");
        return patterns;
    }

    /// <summary>Null after noting a fault.</summary>
    private static List<NamePattern>? ReadPatterns(ObjectReader owner, string key, JsonValue value)
    {
        IReadOnlyList<JsonValue> items = value is JsonArray list ? list.Items : [value];
        if (items.Count is 0 or > MostPatterns || items.FirstOrDefault(item => item is not JsonText) is not null)
        {
            var wrong = items.FirstOrDefault(item => item is not JsonText) ?? value;
            owner.ReportWrongType(key, wrong, "a pattern of file names, or a list of 1 to 1000 of them", "Write patterns between double quotes, such as \"*kick*\"");
            return null;
        }

        var patterns = new List<NamePattern>();
        foreach (var text in items.Cast<JsonText>())
        {
            if (NamePattern.Read(text.Value, text.At, (sentence, remedy) => owner.Report(DiagnosticCode.BadPattern, text.At, $"{owner.Subject}: the pattern \"{Shown.Short(text.Value)}\" {sentence}", remedy)) is { } pattern)
                patterns.Add(pattern);
        }

        return patterns.Count == items.Count ? patterns : null;
    }
}
