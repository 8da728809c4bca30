using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli.Batch;

/// <summary>The recipe itself has faults.</summary>
internal sealed class RecipeException(DiagnosticList diagnostics) : Exception("The recipe has faults.")
{
    public DiagnosticList Diagnostics => diagnostics;
}
