using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>The outputs that a song has, and the gates that can be judged.</summary>
internal sealed class OutputsLeft(GraphDocument recipe, SongOverrides overrides, WhatIsLeft left)
{
    private readonly HashSet<string> _gone = new(StringComparer.Ordinal);

    /// <summary>Makes the outputs; if none is left, that is noted as a fault.</summary>
    /// <param name="written">The recipe's.</param>
    public List<JsonMember> Make(IReadOnlyList<JsonMember> written, DiagnosticList diagnostics)
    {
        foreach (var output in recipe.Outputs)
        {
            if (WhyGone(output) is { } why)
                DropOutput(output, why);
        }

        // Without the gain that it was to take over it might be far too loud.
        while (recipe.Outputs.FirstOrDefault(output => !_gone.Contains(output.Id) && output.GainOf is { } other && _gone.Contains(other.Value)) is { } next)
            DropOutput(next, $"it has the gain of output \"{next.GainOf!.Value.Value}\", which is not there");

        if (_gone.Count > 0 && _gone.Count == recipe.Outputs.Count)
        {
            diagnostics.Add(new(
                DiagnosticCode.NothingMatches, recipe.File, recipe.Outputs[0].At, "nothing is left to be written: no output's signal is there",
                "Name the song's files in song.json, or use a recipe for songs like this one"));
        }

        return [.. written.Where(member => !_gone.Contains(member.Name)).Select(member => member with { Value = Output(member.Name, (JsonObject)member.Value) })];
    }

    private string? WhyGone(OutputEntry output) =>
        overrides.AbsentOutputs.Contains(output.Id) ? "the song does not want it"
        : left.Meaning(output.From.Value) is null ? $"it takes from \"{output.From.Value}\", which is not there"
        : output.Kind == OutputKind.Delta && left.IsTakenAway(output.From.Value) ? $"\"{output.From.Value}\" takes nothing away any more"
        : null;

    private void DropOutput(OutputEntry output, string why)
    {
        _gone.Add(output.Id);
        left.Drop($"output \"{output.Id}\"", why);
    }

    private JsonObject Output(string id, JsonObject body)
    {
        var subject = $"output \"{id}\"";
        var members = new List<JsonMember>();
        foreach (var key in body.Members)
        {
            switch (key)
            {
                case { Name: "in" }:
                    members.Add(key with { Value = left.Renamed(key.Value) });
                    break;
                case { Name: "bextFrom", Value: JsonText stem } when left.Meaning(stem.Value) is null:
                    left.Drop($"bextFrom of {subject}", $"stem \"{stem.Value}\" is not there");
                    break;
                case { Name: "cues" } when !left.HasAnchor:
                    left.Drop($"cues of {subject}", "the anchor is not there");
                    break;
                default:
                    members.Add(key);
                    break;
            }
        }

        return left.Measured(subject, body with { Members = members });
    }

    /// <summary>The list of gates, or null if none is left. Outputs come before.</summary>
    public JsonMember? Gates(JsonMember written)
    {
        if (written.Value is not JsonArray list)
            return written;
        var judged = new List<JsonValue>();
        foreach (var item in list.Items)
        {
            var gate = (JsonObject)item;
            var (of, measure) = (((JsonText)gate.Find("of")!.Value).Value, ((JsonText)gate.Find("measure")!.Value).Value);
            var output = recipe.Outputs.FirstOrDefault(output => output.Owns(of));
            var isOutput = output is not null;

            // Of an output that is several files, one: NAME.PART.
            var isThere = output is null ? left.Meaning(of) is not null && !left.IsTakenAway(of) : !_gone.Contains(output.Id) && (of == output.Id || left.Meaning(of[(output.Id.Length + 1)..]) is not null);
            if (!isThere)
                left.Drop($"the gate {measure} of {(isOutput ? "output " : "")}\"{of}\"", "that is not there");
            else if (!left.HasAnchor && (left.HearsTheAnchor(measure) || gate.Find("during")?.Value is JsonText { Value: "hits" }))
                left.Drop($"the gate {measure} of {(isOutput ? "output " : "")}\"{of}\"", "it needs the anchor, which is not there");
            else
                judged.Add(isOutput ? gate : gate with { Members = [.. gate.Members.Select(key => key.Name == "of" ? key with { Value = left.Renamed(key.Value) } : key)] });
        }

        return judged.Count == 0 ? null : written with { Value = new JsonArray(written.Value.At, judged) };
    }
}
