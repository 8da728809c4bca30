using System.Text.Json;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Pitch;

namespace RenderGraph.Cli.Analysis;

/// <summary>What an analysis has to tell, for programs: everything in the tables, and every hit.</summary>
internal static class AnalysisJson
{
    private const int WorstPlaces = 10;

    /// <summary>Writes one object.</summary>
    public static void Write(TextWriter writer, SongSource source, SongAnalysis analysis, NullTest? remainder, DiagnosticList diagnostics) =>
        StrictJson.WriteObject(writer, json =>
        {
            var map = analysis.Map;
            json.WriteBoolean("ok", !diagnostics.HasErrors);
            json.WriteString("title", source.Title);
            json.WriteFinite("tempoBpm", source.TempoBpm);
            json.WriteNumber("sampleRateHz", map.SampleRateHz);
            json.WriteNumber("lengthFrames", map.LengthFrames);
            WriteAnchor(json, analysis);
            json.WriteObjects("bands", ErbScale.HalfErbBands, band =>
            {
                json.WriteRounded("fromHz", band.FromHz);
                json.WriteRounded("toHz", band.ToHz);
            });
            json.WriteObjects("stems", Enumerable.Range(0, map.Stems.Count), stem => WriteStem(json, analysis, stem));
            WriteWorst(json, source, analysis);
            json.WriteObjects("layers", analysis.Layers, group =>
                json.WriteObjects("stems", group.Layers, layer =>
                {
                    json.WriteString("stem", map.Stems[layer.Stem].Name);
                    json.WriteString("verdict", Words.Of(layer.Verdict));
                    json.WriteRounded("correlation", layer.Likeness?.Correlation);
                    json.WriteRounded("delayMs", layer.Likeness?.DelayMs);
                    json.WriteRounded("correlationNow", layer.Likeness?.CorrelationNow);
                    json.WriteRounded("addsDb", layer.AddsDb);
                    json.WriteRounded("shiftMs", layer.ShiftMs);
                    json.WriteRounded("gainDb", layer.GainDb);
                    json.WriteString("reason", Words.Why(layer, map.Stems[group.First].Name));
                }));
            json.WriteObjects("checks", analysis.Checks, check =>
            {
                json.WriteString("kind", JsonNamingPolicy.CamelCase.ConvertName(check.Kind.ToString()));
                json.WriteString("stem", map.Stems[check.Stem].Name);
                json.WriteRounded("value", check.Value);
                json.WriteRounded("seconds", check.Frame / (double)map.SampleRateHz);
                json.WriteText("other", check.Other is { } other ? map.Stems[other].Name : null);
                json.WriteString("sentence", Words.Of(check, map));
            });
            WriteRemainder(json, remainder);
            json.WriteFindings(diagnostics);
        });

    private static void WriteAnchor(Utf8JsonWriter json, SongAnalysis analysis)
    {
        if (analysis.Anchor is not { } anchor)
        {
            json.WriteNull("anchor");
            return;
        }

        var (map, collisions) = (analysis.Map, analysis.Collisions);
        json.WriteStartObject("anchor");
        json.WriteString("stem", map.Stems[anchor.Stem].Name);
        json.WriteBoolean("told", anchor.IsTold);
        json.WriteRounded("stemConfidence", anchor.StemConfidence);
        json.WriteRounded("frequencyHz", anchor.Dominant?.FrequencyHz);
        json.WriteBoolean("frequencyTold", anchor.IsFrequencyTold);
        json.WriteRounded("spreadHz", anchor.Dominant?.SpreadHz);
        json.WriteRounded("confidence", anchor.Dominant?.Confidence);
        json.WriteText("note", anchor.Dominant is { } dominant ? Note.NearestTo(dominant.FrequencyHz).ToString() : null);
        json.WriteStartArray("layers");
        foreach (var layer in collisions?.Anchor.Layers ?? [])
            json.WriteStringValue(map.Stems[layer].Name);
        json.WriteEndArray();
        json.WriteRounded("ownBandFromHz", collisions?.OwnBand.FromHz);
        json.WriteRounded("ownBandToHz", collisions?.OwnBand.ToHz);
        json.WriteRounded("clearanceDb", collisions?.ClearanceDb);
        json.WriteRounded("mixPeakDbfs", collisions?.MixPeakDbfs);
        json.WriteObjects("hits", Enumerable.Range(0, anchor.Hits.Count), hit =>
        {
            json.WriteFinite("seconds", Math.Round(anchor.Hits[hit].Frame / (double)map.SampleRateHz, 6));
            json.WriteFinite("strength", anchor.Hits[hit].Strength);
            json.WriteRounded("clearanceDb", collisions?.HitClearanceDb[hit]);
        });
        json.WriteEndObject();
    }

    private static void WriteStem(Utf8JsonWriter json, SongAnalysis analysis, int index)
    {
        var (stem, guess) = (analysis.Map.Stems[index], analysis.Guesses[index]);
        var (lowEnd, facts) = (stem.LowEnd, stem.Facts);
        json.WriteString("name", stem.Name);
        json.WriteBoolean("muted", stem.IsMuted);
        json.WriteString("part", Words.Of(guess.Kind));
        json.WriteRounded("partConfidence", guess.Confidence);
        json.WriteNumber("channels", stem.Format.Channels);
        json.WriteNumber("lengthFrames", stem.Format.LengthFrames);
        json.WriteNumber("startFrame", stem.StartFrame);
        json.WriteRounded("firstSoundSeconds", facts.FirstSoundFrame / (double)analysis.Map.SampleRateHz);
        json.WriteRounded("lastSoundSeconds", facts.LastSoundFrame / (double)analysis.Map.SampleRateHz);
        json.WriteRounded("peakDbfs", Say.LevelDbfs(facts.PeakAmplitude));
        json.WriteRounded("dcDbfs", lowEnd.DcDbfs);
        json.WriteRounded("leftRightCorrelation", facts.LeftRightCorrelation);
        json.WriteNumber("clippedPlaces", facts.ClippedPlaces);
        json.WriteRounded("lowEndDbfs", lowEnd.LevelDbfs);
        json.WriteRounded("lowEndShare", lowEnd.Share);
        json.WriteRounded("subsonicDbfs", lowEnd.SubsonicDbfs);
        json.WriteRounded("level20To30Dbfs", lowEnd.RangesDbfs[0]);
        json.WriteRounded("level30To60Dbfs", lowEnd.RangesDbfs[1]);
        json.WriteRounded("level60To120Dbfs", lowEnd.RangesDbfs[2]);
        json.WriteRounded("level120To300Dbfs", lowEnd.RangesDbfs[3]);
        json.WriteNumbers("bandsDbfs", lowEnd.BandsDbfs);
        json.WriteRounded("sideShare", lowEnd.SideShare);
        json.WriteRounded("monoLossDb", lowEnd.MonoLossDb);
        json.WriteRounded("filledFraction", lowEnd.FilledFraction);
        json.WriteRounded("lowestHz", lowEnd.Lowest?.FrequencyHz);
        json.WriteRounded("unevennessDb", lowEnd.UnevennessDb);
        json.WriteObjects("notes", lowEnd.Notes, note =>
        {
            json.WriteString("note", new Note(note.Midi, 0).Name);
            json.WriteRounded("frequencyHz", note.FrequencyHz);
            json.WriteNumber("count", note.Count);
            json.WriteRounded("seconds", note.Seconds);
            json.WriteRounded("levelDbfs", note.LevelDbfs);
        });
        WriteCollision(json, analysis.Collisions?.Stems.FirstOrDefault(collision => collision.Stem == index));
    }

    private static void WriteCollision(Utf8JsonWriter json, StemCollision? collision)
    {
        if (collision is null)
        {
            json.WriteNull("collision");
            return;
        }

        json.WriteStartObject("collision");
        json.WriteString("finding", Words.Of(collision.Kind));
        json.WriteRounded("overlap", collision.Overlap);
        json.WriteNumbers("bandOverlaps", collision.BandOverlaps.Select(overlap => (double?)overlap));
        json.WriteRounded("partDb", collision.PartDb);
        json.WriteRounded("summationGainDb", collision.SummationGainDb);
        json.WriteRounded("sumAgainstPowersDb", collision.SumAgainstPowersDb);
        json.WriteRounded("phaseConsistency", collision.PhaseConsistency);
        json.WriteRounded("phaseDegrees", collision.PhaseDegrees);
        json.WriteRounded("peakCostDb", collision.PeakCostDb);
        json.WriteStartObject("remedy");
        json.WriteString("kind", Words.Of(collision.Remedy.Kind));
        json.WriteRounded("shiftMs", collision.Remedy.ShiftMs);
        json.WriteRounded("gainDb", collision.Remedy.GainDb);
        json.WriteEndObject();
        json.WriteObjects("hits", collision.Hits, hit =>
        {
            json.WriteRounded("overlap", hit.Overlap);
            json.WriteNumber("worstBand", hit.WorstBand);
            json.WriteRounded("partDb", hit.PartDb);
            json.WriteRounded("summationGainDb", hit.SummationGainDb);
        });
        json.WriteEndObject();
    }

    private static void WriteWorst(Utf8JsonWriter json, SongSource source, SongAnalysis analysis) =>
        json.WriteObjects("worstPlaces", analysis.Collisions?.Worst(WorstPlaces) ?? [], place =>
        {
            var seconds = place.Frame / (double)analysis.Map.SampleRateHz;
            json.WriteFinite("seconds", Math.Round(seconds, 6));
            json.WriteText("barBeat", source.TempoBpm is { } tempo ? SongTime.WriteBar(seconds, tempo) : null);
            json.WriteString("stem", analysis.Map.Stems[place.Stem].Name);
            json.WriteRounded("overlap", place.Collision.Overlap);
            json.WriteNumber("worstBand", place.Collision.WorstBand);
            json.WriteRounded("partDb", place.Collision.PartDb);
        });

    private static void WriteRemainder(Utf8JsonWriter json, NullTest? remainder)
    {
        if (remainder is null)
        {
            json.WriteNull("nullTest");
            return;
        }

        json.WriteStartObject("nullTest");
        json.WriteRounded("residualDb", remainder.ResidualDb);
        json.WriteRounded("residualPeakDbfs", remainder.ResidualPeakDbfs);
        json.WriteRounded("worstSeconds", remainder.WorstSeconds);
        json.WriteRounded("worstDb", remainder.WorstDb);
        json.WriteRounded("bestGainDb", remainder.BestGainDb);
        json.WriteRounded("residualAtBestGainDb", remainder.ResidualAtBestGainDb);
        json.WriteRounded("lengthDifferenceSeconds", remainder.LengthDifferenceSeconds);
        json.WriteEndObject();
    }

    private static void WriteNumbers(this Utf8JsonWriter json, string name, IEnumerable<double?> values)
    {
        json.WriteStartArray(name);
        foreach (var value in values)
        {
            if (value is { } number && double.IsFinite(number))
                json.WriteNumberValue(Math.Round(number, 4, MidpointRounding.AwayFromZero));
            else
                json.WriteNullValue();
        }

        json.WriteEndArray();
    }
}
