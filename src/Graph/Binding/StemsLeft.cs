using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using static System.FormattableString;

namespace RenderGraph.Graph.Binding;

/// <summary>The stems that a song has: patterns become paths, and many files become stems and their sum.</summary>
/// <param name="prefix">Put before every path.</param>
internal sealed class StemsLeft(GraphDocument recipe, SongOverrides overrides, FileAssignment assignment, NodeCatalog catalog, WhatIsLeft left, string prefix)
{
    private readonly List<BoundFile> _files = [];
    private readonly Dictionary<string, StemEntry> _stems = recipe.Stems.ToDictionary(stem => stem.Id, StringComparer.Ordinal);

    /// <summary>Which file became which stem.</summary>
    public IReadOnlyList<BoundFile> Files => _files;

    /// <summary>Makes them.</summary>
    /// <param name="written">The recipe's.</param>
    /// <param name="sums">Takes the mixes of those that are many.</param>
    public List<JsonMember> Make(IReadOnlyList<JsonMember> written, List<JsonMember> sums)
    {
        var names = new HashSet<string>(recipe.Stems.Select(stem => stem.Id).Concat(recipe.Nodes.Select(node => node.Id)), StringComparer.Ordinal);
        var stems = new List<JsonMember>();
        foreach (var member in written)
        {
            var (body, taken, match) = ((JsonObject)member.Value, assignment.Of(member.Name), _stems[member.Name].Match!);
            if (taken.Count == 0)
            {
                left.Means(member.Name, null);
                left.Drop($"stem \"{member.Name}\"", overrides.AbsentStems.Contains(member.Name) ? "the song says that it does not have it" : "no file of the song is it");
                continue;
            }

            if (taken.Count == 1)
            {
                Add(member.Name, taken[0], body.Members);
                continue;
            }

            var parts = new List<JsonValue>();
            foreach (var file in taken)
            {
                var name = Fresh(member.Name, parts.Count + 1, names);
                Add(name, file, body.Members.Where(key => key.Name != "measure"));
                parts.Add(new JsonText(match.At, name));
            }

            JsonMember[] sum =
            [
                new("type", match.At, new JsonText(match.At, catalog.Types.First(type => type.Ports is [{ IsMany: true }]).Name)), new("in", match.At, new JsonArray(match.At, parts)),
                .. body.Members.Where(key => key.Name == "measure"),
            ];
            sums.Add(member with { Value = new JsonObject(body.At, sum) });

            void Add(string name, (string File, NamePattern? Pattern) file, IEnumerable<JsonMember> keys)
            {
                var at = match.Files.FirstOrDefault(named => named.Value == file.File) is { At.Line: > 0 } named ? named.At : match.At;
                JsonMember[] all = [new(RecipeKeys.File, at, new JsonText(at, prefix + file.File)), .. keys.Where(key => key.Name is not (RecipeKeys.File or RecipeKeys.Match or RecipeKeys.Many or RecipeKeys.Optional))];
                stems.Add(member with { Name = name, Value = body with { Members = all } });
                _files.Add(new(file.File, name, member.Name, file.Pattern));
            }
        }

        return stems;
    }

    /// <summary><c>others-1</c>; if that is taken, the next free number. A long name is cut, since it may have 64 letters only.</summary>
    private static string Fresh(string stem, int number, HashSet<string> taken)
    {
        for (; ; number++)
        {
            var ending = Invariant($"-{number}");
            var name = stem[..Math.Min(stem.Length, 64 - ending.Length)] + ending;
            if (taken.Add(name))
                return name;
        }
    }
}
