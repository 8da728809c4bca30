using System.Globalization;
using RenderGraph.Cli.Console;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Layers;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Parts;
using RenderGraph.Nodes.Measures.Pitch;
using static System.FormattableString;

namespace RenderGraph.Cli.Analysis;

/// <summary>What an analysis has to tell, in tables and sentences.</summary>
internal sealed class AnalysisReport(Terminal terminal, SongSource source, SongAnalysis analysis)
{
    private const int WorstPlaces = 10;
    private const double MapStepDb = 6;

    private readonly TextWriter _writer = terminal.Out;
    private readonly int _width = terminal.WidthColumns;

    /// <summary>Writes all of it.</summary>
    public void Write(NullTest? remainder)
    {
        var map = analysis.Map;
        _writer.WriteLine($"{source.Title}: {Words.Stems(map.Stems.Count)}, {Say.Length(map.LengthFrames, map.SampleRateHz)} at {Say.Whole(map.SampleRateHz)} Hz");
        WriteAnchor();
        WriteLevels();
        WriteMap();
        WriteNotes();
        WriteCollisions();
        WriteWorst();
        WriteSentences("layers", analysis.Layers.SelectMany(group => group.Layers.Select(layer => Words.Of(layer, group, map))));
        WriteSentences("to know before starting", [.. analysis.Checks.Select(check => Words.Of(check, map)), .. RemainderSentences(remainder)]);
    }

    private void WriteAnchor()
    {
        _writer.WriteLine();
        if (analysis.Anchor is not { } anchor)
        {
            _writer.WriteWrapped("No anchor: there is no low part that strikes, so nobody can be said to own the low end. If there is one, name it in a graph: \"anchor\": { \"stem\": ... }.", _width, indent: 2);
            return;
        }

        var table = new TextTable("", "");
        table.Add("anchor", $"{Name(anchor.Stem)}, {(anchor.IsTold ? "told by the graph" : Invariant($"found, confidence {anchor.StemConfidence:0.00}"))}");
        table.Add("hits", anchor.Hits.Count == 0 ? "none found" : Invariant(
            $"{anchor.Hits.Count}, {Time(anchor.Hits[0].Frame)} to {Time(anchor.Hits[^1].Frame)}; {anchor.Hits.Count(hit => hit.Strength < 0.5)} less than half as strong as the loud ones"));
        table.Add("frequency", anchor.Dominant switch
        {
            null => "not measurable: no hit leaves a tone that can be heard",
            var dominant when anchor.IsFrequencyTold => Invariant($"{dominant.FrequencyHz:0.0} Hz ({Note.NearestTo(dominant.FrequencyHz)}), told by the graph"),
            var dominant => Invariant($"{dominant.FrequencyHz:0.0} Hz ({Note.NearestTo(dominant.FrequencyHz)}), half of it within {dominant.SpreadHz:0.0} Hz, confidence {dominant.Confidence:0.00}"),
        });
        if (analysis.Collisions is { } collisions)
        {
            if (collisions.Anchor.Layers.Count > 0)
                table.Add("with it", $"{string.Join(", ", collisions.Anchor.Layers.Select(Name))}: counted as part of it below");
            table.Add("clearance", collisions.ClearanceDb is { } clearance
                ? Invariant($"{Say.Decimal(clearance)} dB above everything else from {collisions.OwnBand.FromHz:0} to {collisions.OwnBand.ToHz:0} Hz, at half of the hits")
                : "nothing else is there at the hits");
            if (collisions.MixPeakDbfs is { } peak)
                table.Add("peak", $"{Say.Decimal(peak)} dBFS: all stems together, at a hit");
        }

        table.WriteTo(_writer, _width);
        if (anchor is { IsFrequencyTold: false, Dominant.Confidence: < Graph.Contracts.DominantFrequency.LowConfidence })
            _writer.WriteWrapped("The hits do not agree on a frequency: listen, and write the number into the graph; a part that changes its notes has no single one.", _width, indent: 2);
    }

    private void WriteLevels()
    {
        Heading("low end: mean level in dBFS, a full-scale sine at -3.0");
        var table = new TextTable(">share", ">20-30", ">30-60", ">60-120", ">120-300 Hz", ">6-20", ">DC", "stem");
        foreach (var stem in ByShare())
        {
            var lowEnd = stem.LowEnd;
            table.Add([Percent(lowEnd.Share), .. lowEnd.RangesDbfs.Select(Level), Level(lowEnd.SubsonicDbfs), Level(lowEnd.DcDbfs), NameOf(stem)]);
        }

        table.WriteTo(_writer, _width);
    }

    private void WriteMap()
    {
        var loudest = analysis.Map.Stems.SelectMany(stem => stem.LowEnd.BandsDbfs).Max();
        if (loudest is null)
            return;
        Heading($"map of half-ERB bands: 9 is the loudest, {Say.Decimal(loudest.Value)} dBFS, each step less 6 dB down, a dot below");
        var edges = ErbScale.HalfErbBands.Select(band => band.FromHz.ToString("0", CultureInfo.InvariantCulture).PadLeft(3)).Append("300");
        _writer.WriteLine($"  {string.Join(' ', edges)} Hz");
        foreach (var stem in ByShare())
            _writer.WriteLine($"  {string.Join(' ', stem.LowEnd.BandsDbfs.Select(level => $"  {Step(level, loudest.Value)}"))}       {NameOf(stem)}");
    }

    private void WriteNotes()
    {
        Heading("parts, by content first and by name second; notes below 320 Hz with how often and how loud");
        var table = new TextTable("part", ">sure", ">lowest", ">uneven", ">side", ">mono", "stem, notes");
        foreach (var stem in ByShare())
        {
            var (guess, lowEnd) = (analysis.Guesses[IndexOf(stem)], stem.LowEnd);
            table.Add(
                Words.Of(guess.Kind), guess.Confidence.ToString("0.00", CultureInfo.InvariantCulture),
                lowEnd.Lowest is { } lowest ? Invariant($"{lowest.FrequencyHz:0.0} Hz") : "-", lowEnd.UnevennessDb is { } uneven ? $"{Say.Decimal(uneven)} dB" : "-",
                lowEnd.SideShare is { } side ? Percent(side) : "-", lowEnd.MonoLossDb is { } loss ? $"{Say.Decimal(loss)} dB" : "-",
                $"{NameOf(stem)}{(guess.Kind == PartKind.Bass ? Notes(lowEnd) : "")}");
        }

        table.WriteTo(_writer, _width);
    }

    private void WriteCollisions()
    {
        if (analysis.Collisions is not { } collisions || collisions.Anchor.Hits.Count == 0)
            return;
        var stems = collisions.Stems.Where(stem => stem.Overlap >= 0.005 || stem.PeakCostDb >= 0.05 || stem.Kind != CollisionKind.Clear).OrderByDescending(stem => stem.Overlap).ToList();
        if (stems.Count == 0)
        {
            _writer.WriteLine();
            _writer.WriteLine($"  At the hits of {Name(collisions.Anchor.Stem)} nobody else is in the low end.");
            return;
        }

        Heading($"at the hits of {Name(collisions.Anchor.Stem)}");
        var table = new TextTable(">covers", ">level", ">sum", ">phase", ">steady", ">peak", "finding", "stem");
        foreach (var stem in stems)
        {
            table.Add(
                Percent(stem.Overlap), Decibels(stem.PartDb), Decibels(stem.SummationGainDb), stem.PhaseDegrees is { } degrees ? Invariant($"{Math.Round(degrees):0}") : "-",
                stem.PhaseConsistency?.ToString("0.00", CultureInfo.InvariantCulture) ?? "-", Decibels(stem.PeakCostDb), Words.Of(stem.Kind), Name(stem.Stem));
        }

        table.WriteTo(_writer, _width);
        _writer.WriteLine();
        foreach (var stem in stems.Where(stem => stem.Remedy.Kind != RemedyKind.None))
            _writer.WriteMarked("- ", $"{Name(stem.Stem)}: {Words.Of(stem.Remedy)}", _width, indent: 2);
        foreach (var rule in (string[])
        [
            "covers: share of the anchor's energy from 20 to 300 Hz that the part covers with as much of its own.",
            "level: the part against the anchor, in dB, in the anchor's own band; sum: both together over the louder (6 dB in phase, 0 at 120 degrees); phase in degrees, "
            + "steady from 0 to 1 over the hits; peak: dB of the peak of all stems that the part costs.",
        ])
        {
            _writer.WriteMarked("- ", rule, _width, indent: 2);
        }
    }

    private void WriteWorst()
    {
        if (analysis.Collisions?.Worst(WorstPlaces) is not { Count: > 0 } places)
            return;
        Heading("the worst places");
        var table = new TextTable([">at", .. source.TempoBpm is null ? (string[])[] : [">bar.beat"], ">covers", ">level", "most at", "stem"]);
        foreach (var place in places.OrderBy(place => place.Frame))
        {
            var seconds = place.Frame / (double)analysis.Map.SampleRateHz;
            table.Add(
            [
                SongTime.Write(seconds), .. source.TempoBpm is { } tempo ? [SongTime.WriteBar(seconds, tempo)] : (string[])[], Percent(place.Collision.Overlap),
                Decibels(place.Collision.PartDb), ErbScale.HalfErbBands[place.Collision.WorstBand].Name, Name(place.Stem),
            ]);
        }

        table.WriteTo(_writer, _width);
    }

    private static IEnumerable<string> RemainderSentences(NullTest? remainder)
    {
        if (remainder is not { } test)
            yield break;
        yield return test.ResidualDb <= -90
            ? $"null test: the stems add up to the reference mix; {Say.Decimal(test.ResidualDb)} dB are left."
            : $"null test: {Say.Decimal(test.ResidualDb)} dB of the reference mix are left, most of it in the second from {SongTime.Write(test.WorstSeconds)} on ({Say.Decimal(test.WorstDb)} dB); "
            + (test.BestGainDb is { } gain && Math.Abs(gain) >= 0.05 && test.ResidualAtBestGainDb < test.ResidualDb - 1
                ? $"with the sum at {(gain > 0 ? "+" : "")}{Say.Decimal(gain)} dB it would be {Say.Decimal(test.ResidualAtBestGainDb)} dB."
                : "another gain would not help: the mix was treated, a stem is missing, or they do not begin together.");
        if (Math.Abs(test.LengthDifferenceSeconds) >= 0.001)
            yield return Invariant($"null test: the reference mix is {Math.Abs(test.LengthDifferenceSeconds):0.000} s {(test.LengthDifferenceSeconds > 0 ? "longer" : "shorter")} than the song.");
    }

    private void WriteSentences(string heading, IEnumerable<string> sentences)
    {
        var all = sentences.ToList();
        if (all.Count == 0)
            return;
        Heading(heading);
        foreach (var sentence in all)
            _writer.WriteMarked("- ", sentence, _width, indent: 2);
    }

    private void Heading(string text)
    {
        _writer.WriteLine();
        _writer.WriteWrapped(text, _width, indent: 2);
    }

    private IEnumerable<MeasuredStem> ByShare() => analysis.Map.Stems.OrderByDescending(stem => stem.LowEnd.Share).ThenByDescending(stem => stem.LowEnd.LevelDbfs ?? double.NegativeInfinity);

    private int IndexOf(MeasuredStem stem) => analysis.Map.Stems.ToList().IndexOf(stem);

    private string Name(int stem) => analysis.Map.Stems[stem].Name;

    private static string NameOf(MeasuredStem stem) => stem.IsMuted ? $"{stem.Name} (muted)" : stem.Name;

    private string Time(long frame) => SongTime.Write(frame / (double)analysis.Map.SampleRateHz);

    private static char Step(double? level, double loudest)
    {
        var step = 9 - (int)Math.Round((loudest - (level ?? double.NegativeInfinity)) / MapStepDb);
        return level is not null && step >= 0 ? (char)('0' + step) : '.';
    }

    private static string Notes(StemLowEnd lowEnd) => lowEnd.Notes.Count == 0 ? "" : $": {string.Join(", ", lowEnd.Notes.Select(note => $"{new Note(note.Midi, 0).Name} {note.Count}x {Say.Decimal(note.LevelDbfs)}"))}";

    private static string Percent(double share) => Invariant($"{100 * share:0} %");

    private static string Level(double? level) => level is { } db ? Say.Decimal(db) : "-";

    private static string Decibels(double? db) => db is { } value ? Say.Decimal(Math.Max(-99.9, value)) : "-";
}
