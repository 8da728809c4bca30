using System.Numerics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Filters;

/// <summary>
/// Filters against outside references (see <see cref="FilterReference"/>), in three ways: what a section says of itself, what an impulse measures, and the first
/// 64 samples. The project's bounds are 0.01 dB, 0.1 degree and 1e-9.
/// </summary>
public sealed class FilterReferenceTests
{
    /// <summary>Below this a double impulse response holds more rounding than signal, and only the section's own response is compared.</summary>
    private const double MeasurableDb = -180;

    /// <summary>A notch's centre is an exact zero; what the reference holds there is its own rounding.</summary>
    private const double ZeroDb = -200;

    /// <summary>Entries that no section of ours is: the file's only all-pass. No node needs one, since keyed cuts and band splits are built otherwise.</summary>
    private static readonly string[] NotExpressed = ["rbj-allpass-48000-90-q0.707"];

    public static TheoryData<string> Ids => new(FilterReference.All.Where(entry => entry.Design() is not null).Select(entry => entry.Id));

    public static TheoryData<string> NodeIds => new(FilterReference.All.Where(entry => entry.Node() is not null).Select(entry => entry.Id));

    [Fact]
    public void EveryEntryIsExpressedButTheNamedOnes() =>
        Assert.Equal(NotExpressed, FilterReference.All.Where(entry => entry.Design() is null).Select(entry => entry.Id));

    [Theory]
    [MemberData(nameof(Ids))]
    public void ASectionAnswersTheReferencesResponse(string id)
    {
        var entry = Entry(id);
        AssertResponse(entry, frequencyHz => Response(entry.Design()!, frequencyHz, entry.SampleRateHz), double.NegativeInfinity);
    }

    [Theory]
    [MemberData(nameof(Ids))]
    public void AnImpulseMeasuresTheReferencesResponse(string id)
    {
        var entry = Entry(id);
        var impulse = Rendered(entry.Design()!, FramesToDieAway(entry));
        AssertResponse(entry, frequencyHz => Spectrum.At(impulse[0], frequencyHz, entry.SampleRateHz), MeasurableDb);
    }

    [Theory]
    [MemberData(nameof(Ids))]
    public void TheFirstSamplesAreTheReferences(string id)
    {
        var entry = Entry(id);
        var impulse = Rendered(entry.Design()!, entry.ImpulseResponse.Length);
        Assert.True(Signals.LargestDifference(impulse, Signals.Mono(entry.ImpulseResponse)) < 1e-12, "an impulse response is off by 1e-12 or more");
    }

    [Theory]
    [MemberData(nameof(NodeIds))]
    public void ANodeWithTheseParametersIsThatFilterOnBothChannels(string id)
    {
        var entry = Entry(id);
        var expected = Rendered(entry.Design()!, 2000);
        var rendered = NodeRunner.Run(entry.Node()!, entry.SampleRateHz, Signals.Impulse(2000, channels: 2), [77]);
        Assert.True(Signals.AreSameBits(Signals.Stereo(expected, expected), rendered));
    }

    private static FilterReference Entry(string id) => FilterReference.All.Single(entry => entry.Id == id);

    // A pole of quality Q falls by pi / Q nepers a period: 20 max(Q, 2) periods leave nothing above -270 dB even of a 12 dB boost, whose poles have twice the Q.
    private static int FramesToDieAway(FilterReference entry) =>
        (int)(20 * entry.SampleRateHz / entry.FrequencyHz * Math.Max(2, entry.Q ?? 1));

    private static Signal Rendered(IReadOnlyList<Section> sections, int frames)
    {
        var signal = Signals.Impulse(frames);
        new SectionCascade(sections).Process(0, signal, signal);
        return signal;
    }

    private static Complex Response(IReadOnlyList<Section> sections, double frequencyHz, int sampleRateHz) =>
        sections.Aggregate(Complex.One, (product, section) => product * section.Response(frequencyHz, sampleRateHz));

    private static void AssertResponse(FilterReference entry, Func<double, Complex> response, double leastDb)
    {
        var compared = 0;
        for (var index = 0; index < entry.FrequenciesHz.Length; index++)
        {
            if (entry.MagnitudesDb[index] is not { } magnitudeDb || magnitudeDb < leastDb)
                continue;
            var value = response(entry.FrequenciesHz[index]);
            if (entry.Kind == "notch" && magnitudeDb < ZeroDb)
            {
                Assert.InRange(Spectrum.MagnitudeDb(value), double.NegativeInfinity, ZeroDb);
                continue;
            }

            Assert.Equal(magnitudeDb, Spectrum.MagnitudeDb(value), 0.01);
            Assert.Equal(0, Spectrum.PhaseDifferenceDegrees(value, entry.PhasesRadians[index]!.Value), 0.1);
            compared++;
        }

        Assert.InRange(compared, 5, entry.FrequenciesHz.Length);
    }
}
