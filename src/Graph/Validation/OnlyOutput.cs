using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Listens to one point of a graph: its outputs give way to a single one.</summary>
internal static class OnlyOutput
{
    /// <summary>The graph with one output, NAME.only.wav, so that a whole render called NAME.wav stays; unchanged if the name is not known, which is then noted.</summary>
    public static GraphDocument Of(GraphDocument document, string name, DiagnosticList diagnostics)
    {
        var names = new GraphNames(document);
        if (names.IsKnown(name))
        {
            var output = new OutputEntry(name, default, new(name, default), new($"{name}.only.wav", default), SampleEncoding.Pcm24, Channels: null, TailMs: 0);
            return document with { Outputs = [output], Measured = [], Expectations = [], HasFaultyOutputs = false, IsWhole = false };
        }

        if (!names.IsWritten(name))
        {
            var asOutput = document.Outputs.FirstOrDefault(output => output.Id == name);
            diagnostics.Add(new(
                DiagnosticCode.UnknownName, document.File, default, $"only \"{Shown.Short(name)}\" shall be rendered, but no stem, node or step has that name",
                asOutput is not null ? $"That is an output; what it writes is \"{asOutput.From.Value}\", so ask for that"
                : NearestName.Of(name, names.All) is { } near ? $"Did you mean \"{near}\"?"
                : names.All.Any() ? $"Ask for one of {Shown.Few(names.All)}" : "Add a stem first"));
        }

        return document;
    }
}
