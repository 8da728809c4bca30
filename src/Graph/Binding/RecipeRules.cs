using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>What holds of a recipe besides the rules of a graph.</summary>
public static class RecipeRules
{
    /// <summary>Notes every fault found.</summary>
    public static void Check(GraphDocument recipe, DiagnosticList diagnostics)
    {
        AnchorIsOneFile(recipe, diagnostics);
        OriginIsOneFile(recipe, diagnostics);
        NothingComesAfterAll(recipe, diagnostics);
    }

    private static void AnchorIsOneFile(GraphDocument recipe, DiagnosticList diagnostics)
    {
        if (recipe.Anchor is { } anchor && IsMany(recipe, anchor.Stem.Value))
        {
            diagnostics.Add(new(
                DiagnosticCode.Contradiction, recipe.File, anchor.Stem.At, $"the anchor names \"{anchor.Stem.Value}\", which takes many files, but the anchor must be one",
                "Give the part that owns the low end a stem of its own, written before this one"));
        }
    }

    private static void OriginIsOneFile(GraphDocument recipe, DiagnosticList diagnostics)
    {
        foreach (var output in recipe.Outputs)
        {
            if (output.BextFrom is { } from && IsMany(recipe, from.Value))
            {
                diagnostics.Add(new(
                    DiagnosticCode.Contradiction, recipe.File, from.At, $"output \"{output.Id}\" asks for bextFrom \"{from.Value}\", which takes many files, but an origin is that of one",
                    "Name a stem that takes one file"));
            }
        }
    }

    /// <summary>A stem that takes every name leaves nothing to those after it.</summary>
    private static void NothingComesAfterAll(GraphDocument recipe, DiagnosticList diagnostics)
    {
        var all = recipe.Stems.FirstOrDefault(stem => stem.Match is { } match && match.Patterns.Any(pattern => pattern.FitsAll && !pattern.IsExclusion) && !match.Patterns.Any(pattern => pattern.IsExclusion));
        if (all is null)
            return;
        foreach (var stem in recipe.Stems.SkipWhile(stem => stem != all).Skip(1).Where(stem => stem.Match is { Patterns.Count: > 0 }))
        {
            diagnostics.Add(new(
                DiagnosticCode.BadPattern, recipe.File, stem.Match!.At, $"stem \"{stem.Id}\" can take nothing: stem \"{all.Id}\" stands before it and takes every name",
                $"Write stem \"{all.Id}\" last", Severity.Warning));
        }
    }

    private static bool IsMany(GraphDocument recipe, string name) => recipe.Stems.Any(stem => stem.Id == name && stem.Match is { IsMany: true });
}
