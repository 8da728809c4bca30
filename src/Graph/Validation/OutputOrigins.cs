using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>An output that carries a stem's origin on names a stem, and one whose file tells it.</summary>
internal static class OutputOrigins
{
    /// <summary>Notes what is wrong. A stem that could not be opened has been told of already.</summary>
    public static void Check(GraphDocument document, IReadOnlyDictionary<string, StemFormat> formats, DiagnosticList diagnostics)
    {
        foreach (var output in document.Outputs)
        {
            if (output.BextFrom is not { } from) continue;
            if (document.Stems.FirstOrDefault(stem => stem.Id == from.Value) is not { } stem)
            {
                if (document.HasAllNames && !document.LeftOut.Contains(from.Value))
                {
                    var near = NearestName.Of(from.Value, document.Stems.Select(other => other.Id));
                    diagnostics.Add(new(
                        DiagnosticCode.UnknownName, document.File, from.At, $"output \"{output.Id}\" asks for bextFrom \"{Shown.Short(from.Value)}\", but there is no stem of that name",
                        near is null ? "Write the name of a stem whose file is Broadcast Wave" : $"Did you mean \"{near}\"?"));
                }
            }
            else if (formats.TryGetValue(stem.Id, out var format) && format.Origin is null)
            {
                diagnostics.Add(new(
                    DiagnosticCode.StemPlace, document.File, from.At,
                    $"output \"{output.Id}\" is to carry on the origin of {Shown.WithFile("stem", stem.Id, stem.File.Value)}, but the file tells none",
                    "Name a stem that was exported as Broadcast Wave (with a bext chunk), or leave out bextFrom"));
            }
        }
    }
}
