using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>What an id may be.</summary>
internal static class Name
{
    private const int LengthLimit = 64;

    /// <summary>Notes a fault if the id of a member of a section cannot be used as a name.</summary>
    public static void Check(ObjectReader graph, string section, JsonMember member, JsonObject all)
    {
        var id = member.Name;
        if (IsGood(id))
            return;
        var better = Better(id);
        graph.Report(
            DiagnosticCode.BadName, member.At,
            $"\"{Shown.Short(id)}\" in {section} cannot be a name: it must begin with a letter from a to z, go on with letters, digits, - or _, and have at most 64 characters",
            IsGood(better) && all.Find(better) is null ? $"Did you mean \"{better}\"?" : "Give it another name");
    }

    private static bool IsGood(string id) =>
        id.Length is > 0 and <= LengthLimit && char.IsAsciiLetter(id[0]) && id.All(unit => char.IsAsciiLetterOrDigit(unit) || unit is '-' or '_');

    private static string Better(string id)
    {
        var kept = string.Concat(id.Trim().Select(unit => char.IsAsciiLetterOrDigit(unit) || unit is '-' or '_' ? unit : '-')).Trim('-');
        return kept.Length > 0 && char.IsAsciiDigit(kept[0]) ? "n" + kept : kept;
    }
}
