using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>Which files of a song a recipe's stem takes.</summary>
/// <param name="At">Where it says so.</param>
/// <param name="Patterns">Names that it takes, and names that it does not; empty if it names files.</param>
/// <param name="Files">Files that it names, from the song's folder; empty if it has patterns.</param>
/// <param name="IsMany">All that fits is taken and summed; otherwise it takes one file.</param>
/// <param name="IsOptional">A song need not have it.</param>
public sealed record StemMatch(TextPosition At, IReadOnlyList<NamePattern> Patterns, IReadOnlyList<Located<string>> Files, bool IsMany, bool IsOptional)
{
    /// <summary>The first pattern that takes a file of that name, or null: none does, or one excludes it.</summary>
    public NamePattern? Taking(string name) => Taking(WrittenCharacter.Split(name));

    /// <summary>The same of a name's characters.</summary>
    internal NamePattern? Taking(IReadOnlyList<string> signs)
    {
        var taking = Patterns.FirstOrDefault(pattern => !pattern.IsExclusion && pattern.Fits(signs));
        return taking is null || Patterns.Any(pattern => pattern.IsExclusion && pattern.Fits(signs)) ? null : taking;
    }
}
