using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Holds a document against every rule of its meaning. What reading it has told already is not told again.</summary>
public static class GraphValidator
{
    /// <summary>Notes every fault found.</summary>
    /// <param name="sampleRateHz">Of the render, or null if no stem says it.</param>
    public static void Validate(GraphDocument document, int? sampleRateHz, DiagnosticList diagnostics)
    {
        var names = new GraphNames(document);
        StemsExistRule.Check(document, diagnostics);
        OutputsExistRule.Check(document, diagnostics);
        NamesExistRule.Check(document, names, diagnostics);
        AnchorIsAStemRule.Check(document, names, diagnostics);
        NoCycleRule.Check(document, names, diagnostics);
        ParametersRule.Check(document, sampleRateHz, diagnostics);
        GatesHaveAPointRule.Check(document, names, diagnostics);
        GainOfRule.Check(document, diagnostics);
        DeltasAreOfNodesRule.Check(document, names, diagnostics);
        StemsAddUpRule.Check(document, names, diagnostics);
        CuesNeedHitsRule.Check(document, diagnostics);
        MetersHearTheAnchorRule.Check(document, diagnostics);
        NothingUnusedRule.Check(document, names, diagnostics);
    }
}
