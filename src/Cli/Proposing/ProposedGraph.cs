using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using RenderGraph.Cli.Analysis;
using static System.FormattableString;

namespace RenderGraph.Cli.Proposing;

/// <summary>The graph of a clean-up, as text with a comment for every choice.</summary>
/// <param name="Title">The song's name.</param>
/// <param name="Stems">In the order of the folder.</param>
/// <param name="AnchorStem">The anchor's place among them.</param>
/// <param name="AnchorLayers">Those that strike with it.</param>
/// <param name="Head">What is said at the top, a line each.</param>
/// <param name="About">A few words about each stem.</param>
/// <param name="Treatments">What is done.</param>
/// <param name="MixGainDb">Of the sum; 0 leaves it out.</param>
internal sealed record ProposedGraph(
    string Title, int SampleRateHz, IReadOnlyList<FolderStem> Stems, string StemsFolder, int AnchorStem, IReadOnlyList<int> AnchorLayers, double FrequencyHz, string AnchorReason,
    IReadOnlyList<string> Head, IReadOnlyList<string> About, IReadOnlyList<Treatment> Treatments, double MixGainDb)
{
    /// <summary>Outputs of a trial: the anchor with its layers, and everything else.</summary>
    public const string TrialAnchor = "trialAnchor", TrialRest = "trialRest", Mix = "mix";

    /// <summary>What is to stay as it is.</summary>
    public IReadOnlyList<ProposedGate> Gates { get; init; } = [];

    private const int MonitorHz = 120, LongestBase = 56;

    // The programme loudness of EBU R 128: soft enough to leave the peaks room.
    private const int PairLufs = -23;

    /// <summary>The graph to be written.</summary>
    public string Write() => Write(isTrial: false);

    /// <summary>The same, with two sums instead of its outputs: what is measured while the proposal is made.</summary>
    public string WriteTrial() => Write(isTrial: true);

    private string Write(bool isTrial)
    {
        var text = new StringBuilder();
        foreach (var line in Head)
            text.Append("// ").Append(line).Append('\n');
        text.Append("{\n  \"format\": 1,\n").Append(Invariant($"  \"title\": {Quoted(Title)},\n"));
        if (Stems.Any(stem => stem.IsConverted))
            text.Append(Invariant($"  \"sampleRateHz\": {SampleRateHz},\n"));
        text.Append("\n  \"stems\": {\n");
        for (var index = 0; index < Stems.Count; index++)
        {
            var (stem, mute) = (Stems[index], Treatments.FirstOrDefault(treatment => treatment.Stem == index && treatment.Kind == TreatmentKind.Mute));
            text.Append(Invariant($"    // {About[index]}\n"));
            if (mute is not null)
                text.Append(Invariant($"    // {mute.Reason}{Tried(mute)}\n"));
            text.Append(Invariant(
                $"    {Quoted(stem.Name)}: {{ \"file\": {Quoted(StemsFolder + stem.FileName)}{(stem.IsConverted ? ", \"resample\": true" : "")}{(mute is null ? "" : ", \"muted\": true")} }}{Comma(index, Stems.Count)}\n"));
        }

        text.Append(Invariant($"  }},\n\n  // {AnchorReason}\n"));
        text.Append(Invariant($"  \"anchor\": {{ \"stem\": {Quoted(Stems[AnchorStem].Name)}, \"frequencyHz\": {FrequencyHz:0.0}, \"hits\": \"measure\" }},\n\n  \"nodes\": {{\n"));
        var names = Enumerable.Range(0, Stems.Count).Select(stem => Stems[stem].Name).ToArray();
        for (var index = 0; index < Stems.Count; index++)
            names[index] = AppendNode(text, index);
        AppendSums(text, names, isTrial);
        text.Append("  },\n\n  \"outputs\": {\n");
        if (isTrial)
        {
            text.Append(Invariant($"    \"{Mix}\": {{ \"in\": \"{SumName(Mix)}\", \"file\": \"mix.wav\", \"encoding\": \"float32\" }},\n"));
            text.Append(Invariant($"    \"{TrialAnchor}\": {{ \"in\": \"{SumName(TrialAnchor)}\", \"file\": \"anchor.wav\", \"encoding\": \"float32\" }},\n"));
            text.Append(Invariant($"    \"{TrialRest}\": {{ \"in\": \"{SumName(TrialRest)}\", \"file\": \"rest.wav\", \"encoding\": \"float32\" }}\n"));
        }
        else
        {
            text.Append(Invariant($"    \"mix\": {{ \"in\": \"{SumName(Mix)}\", \"file\": \"render/mix.wav\", \"encoding\": \"pcm24\" }},\n"));
            text.Append(Invariant($"    \"monitor\": {{ \"in\": \"{SumName("lows")}\", \"file\": \"render/sub-monitor.wav\", \"encoding\": \"pcm24\" }},\n"));
            text.Append(Invariant($"    // Without and with all this, at one loudness, since what is louder always seems better at first; and their lows, at the level that they have in the song.\n"));
            text.Append(Invariant($"    \"before\": {{ \"kind\": \"untreated\", \"in\": \"{SumName(Mix)}\", \"file\": \"render/before.wav\", \"loudnessLufs\": {PairLufs} }},\n"));
            text.Append(Invariant($"    \"after\": {{ \"in\": \"{SumName(Mix)}\", \"file\": \"render/after.wav\", \"loudnessLufs\": {PairLufs} }},\n"));
            text.Append(Invariant($"    \"beforeLow\": {{ \"kind\": \"untreated\", \"in\": \"{SumName("lows")}\", \"file\": \"render/before-low.wav\", \"gainOf\": \"before\" }},\n"));
            text.Append(Invariant($"    \"afterLow\": {{ \"in\": \"{SumName("lows")}\", \"file\": \"render/after-low.wav\", \"gainOf\": \"after\" }}\n"));
        }

        text.Append("  }");
        if (!isTrial && Gates.Count > 0)
            AppendGates(text);
        return text.Append("\n}\n").ToString();
    }

    private void AppendGates(StringBuilder text)
    {
        text.Append(",\n\n  // What was reached, and is to stay: a render that loses it says so, and exits with 1.\n  \"expect\": [\n");
        for (var index = 0; index < Gates.Count; index++)
        {
            var gate = Gates[index];
            var limits = gate switch
            {
                { AtLeast: { } least, AtMost: { } most } => Invariant($"\"within\": [{least:0.###}, {most:0.###}]"),
                { AtLeast: { } least } => Invariant($"\"atLeast\": {least:0.###}"),
                _ => Invariant($"\"atMost\": {gate.AtMost:0.###}"),
            };
            text.Append(Invariant($"    {{ \"measure\": \"{gate.Measure}\", \"of\": {Quoted(gate.Of)}, {limits}, \"why\": {Quoted(gate.Why)} }}{Comma(index, Gates.Count)}\n"));
        }

        text.Append("  ]");
    }

    // The node or chain that treats a stem; answers with the name that the mix is to take.
    private string AppendNode(StringBuilder text, int stem)
    {
        var treatments = Treatments.Where(treatment => treatment.Stem == stem && treatment.Kind != TreatmentKind.Mute).OrderBy(treatment => treatment.Kind).ToList();
        if (treatments.Count == 0 || Treatments.Any(treatment => treatment.Stem == stem && treatment.Kind == TreatmentKind.Mute))
            return Stems[stem].Name;

        var name = Fresh($"{Stems[stem].Name[..Math.Min(Stems[stem].Name.Length, LongestBase)]}Clean");
        var from = Quoted(Stems[stem].Name);
        if (treatments.Count == 1)
        {
            text.Append(Invariant($"    // {treatments[0].Reason}{Tried(treatments[0])}\n"));
            text.Append(Invariant($"    {Quoted(name)}: {{ \"type\": \"{treatments[0].Type}\", \"in\": {from}{treatments[0].Parameters} }},\n"));
            return name;
        }

        text.Append(Invariant($"    {Quoted(name)}: {{\n      \"type\": \"chain\", \"in\": {from},\n      \"steps\": [\n"));
        for (var index = 0; index < treatments.Count; index++)
        {
            text.Append(Invariant($"        // {treatments[index].Reason}{Tried(treatments[index])}\n"));
            text.Append(Invariant($"        {{ \"type\": \"{treatments[index].Type}\"{treatments[index].Parameters} }}{Comma(index, treatments.Count)}\n"));
        }

        text.Append("      ]\n    },\n");
        return name;
    }

    private void AppendSums(StringBuilder text, string[] names, bool isTrial)
    {
        var heard = Enumerable.Range(0, Stems.Count).ToList();
        text.Append("    // The sum");
        text.Append(MixGainDb == 0 ? ".\n" : Invariant($", {-MixGainDb:0.#} dB down so that it stays under full scale; the monitor has the same gain.\n"));
        var gain = MixGainDb == 0 || isTrial ? "" : Invariant($", \"gainDb\": {MixGainDb:0.#}");
        text.Append(Invariant($"    \"{SumName(Mix)}\": {{ \"type\": \"mix\"{gain}, \"in\": [{string.Join(", ", heard.Select(stem => Quoted(names[stem])))}] }},\n"));
        if (isTrial)
        {
            var anchors = heard.Where(stem => stem == AnchorStem || AnchorLayers.Contains(stem)).ToList();
            var rest = heard.Except(anchors).ToList();
            text.Append(Invariant($"    \"{SumName(TrialAnchor)}\": {{ \"type\": \"mix\", \"in\": [{string.Join(", ", anchors.Select(stem => Quoted(names[stem])))}] }},\n"));

            // With the anchor alone there is no rest: an anchor at -96 dB stands for nothing.
            text.Append(rest.Count > 0
                ? Invariant($"    \"{SumName(TrialRest)}\": {{ \"type\": \"mix\", \"in\": [{string.Join(", ", rest.Select(stem => Quoted(names[stem])))}] }}\n")
                : Invariant($"    \"{SumName(TrialRest)}\": {{ \"type\": \"mix\", \"in\": [{Quoted(names[AnchorStem])}], \"gainDb\": -96 }}\n"));
            return;
        }

        text.Append(Invariant($"    // What a subwoofer plays of it, at the level that it has in the mix. Start quiet: it tempts one to turn up.\n"));
        text.Append(Invariant($"    \"{SumName("lows")}\": {{ \"type\": \"lowPass\", \"in\": \"{SumName(Mix)}\", \"frequencyHz\": {MonitorHz}, \"slopeDbPerOctave\": 24 }}\n"));
    }

    // A stem may be called as a sum would be.
    private string SumName(string name) => Fresh(name);

    private string Fresh(string name)
    {
        var fresh = name;
        for (var number = 2; Stems.Any(stem => stem.Name == fresh); number++)
            fresh = Invariant($"{name}{number}");
        return fresh;
    }

    private static string Tried(Treatment treatment) => treatment.Effect is null ? "" : $" Tried: {treatment.Effect}.";

    private static string Comma(int index, int count) => index + 1 < count ? "," : "";

    private static string Quoted(string text) => $"\"{JsonEncodedText.Encode(text, JavaScriptEncoder.UnsafeRelaxedJsonEscaping)}\"";
}
