using System.Globalization;
using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Nodes.Measures.Pitch;
using Snapshooter.Xunit;
using Xunit;
using Xunit.Abstractions;

namespace RenderGraph.Nodes.Tests.Measures;

/// <summary>How well hits and frequencies are found wherever the truth is known, kept as a table: what gets better or worse is seen in the difference.</summary>
public sealed class AnchorTableTests(ITestOutputHelper output)
{
    private const double ToleranceMs = 20;

    [Fact]
    public void HitsAndFrequenciesAgainstTheTruth()
    {
        List<double> onsetsMs = [], frequenciesHz = [];
        var table = new StringBuilder("stem               hits  found  missed  false  onset ms median  95 %   worst  settles at  found at  error Hz  confidence\n");
        foreach (var kick in AnalysisReference.Kicks)
            Add(kick.Id, kick.Play(44100), 44100, kick.HitFrames(44100), kick.SettledHz);
        foreach (var (drum, settledHz) in new[] { ("kick", CopperLantern.KickSettledHz), ("snare", (double?)null) })
        {
            var (signal, sampleRateHz) = CopperLantern.Read(drum);
            Add("copper " + drum, signal, sampleRateHz, [.. CopperLantern.Hits(drum).Select(hit => hit.Frame)], settledHz);
        }

        onsetsMs.Sort();
        frequenciesHz.Sort();
        table.Append(CultureInfo.InvariantCulture, $"all: onsets {Percentile(onsetsMs, 0.5):F2} ms at the median, {Percentile(onsetsMs, 0.95):F2} ms at the 95th percentile; ");
        table.Append(CultureInfo.InvariantCulture, $"frequencies {Percentile(frequenciesHz, 0.5):F2} Hz at the median, {frequenciesHz[^1]:F2} Hz at worst\n");
        output.WriteLine(table.ToString());
        Snapshot.Match(table.ToString());

        // What the project is judged by.
        Assert.InRange(Percentile(onsetsMs, 0.5), 0, 1);
        Assert.InRange(Percentile(onsetsMs, 0.95), 0, 3);
        Assert.InRange(Percentile(frequenciesHz, 0.5), 0, 0.5);
        Assert.InRange(frequenciesHz[^1], 0, 1);

        void Add(string name, Signal signal, int sampleRateHz, int[] truth, double? settledHz)
        {
            var finder = new HitFinder(sampleRateHz);
            finder.Add(signal);
            var hits = finder.Finish();
            var pitch = new DominantFrequencyFinder(sampleRateHz, hits);
            pitch.Add(signal);
            var frequency = pitch.Finish()!;

            var tolerance = ToleranceMs * sampleRateHz / 1000;
            var missed = truth.Count(frame => !hits.Any(hit => Math.Abs(hit.Frame - frame) < tolerance));
            var wrong = hits.Count(hit => !truth.Any(frame => Math.Abs(hit.Frame - frame) < tolerance));
            Assert.Equal((0, 0), (missed, wrong));
            var errorsMs = truth.Select(frame => hits.Min(hit => Math.Abs(hit.Frame - frame)) * 1000.0 / sampleRateHz).Order().ToList();
            onsetsMs.AddRange(errorsMs);
            var line = string.Create(
                CultureInfo.InvariantCulture,
                $"{name,-17} {truth.Length,5} {hits.Count,6} {missed,7} {wrong,6} {Percentile(errorsMs, 0.5),16:F2} {Percentile(errorsMs, 0.95),5:F2} {errorsMs[^1],7:F2}");
            if (settledHz is { } trueHz)
            {
                frequenciesHz.Add(Math.Abs(frequency.FrequencyHz - trueHz));
                line += string.Create(CultureInfo.InvariantCulture, $" {trueHz,11:F2} {frequency.FrequencyHz,9:F1} {frequency.FrequencyHz - trueHz,9:F2} {frequency.Confidence,11:F2}");
            }

            table.Append(line).Append('\n');
        }
    }

    private static double Percentile(List<double> rising, double share) => rising[(int)Math.Ceiling(share * rising.Count) - 1];
}
