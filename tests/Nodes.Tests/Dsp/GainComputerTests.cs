using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Tests.Dynamics;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>Against <see cref="DynamicsReference"/>.</summary>
public class GainComputerTests
{
    public static TheoryData<DynamicsReference> Cases { get; } = [.. DynamicsReference.All];

    [Theory]
    [MemberData(nameof(Cases))]
    public void IsTheStaticCurve(DynamicsReference expected)
    {
        var computer = new GainComputer(expected.ThresholdDb, expected.Ratio, expected.KneeDb);
        for (var index = 0; index < expected.InputDb.Length; index++)
            Assert.Equal(expected.ReductionDb[index], computer.ReductionDb(expected.InputDb[index]), 1e-9);
    }

    [Fact]
    public void AsksForNothingUpToTheKneeAndForSomethingAbove()
    {
        var computer = new GainComputer(-20, 4, 6);
        Assert.Equal(-23, computer.KneeStartDb);
        Assert.Equal(0, computer.ReductionDb(-120));
        Assert.Equal(0, computer.ReductionDb(-23));
        Assert.InRange(computer.ReductionDb(-22.99), 1e-9, 1e-4);
    }

    [Fact]
    public void NeverAsksForMoreThanItsRange()
    {
        var computer = new GainComputer(-20, 4, 6, rangeDb: 7);
        Assert.Equal(0.75 * 9, computer.ReductionDb(-11), 1e-12);
        Assert.Equal(7, computer.ReductionDb(-10));
        Assert.Equal(7, computer.ReductionDb(40));
    }

    [Fact]
    public void GivesTheSameBitsToManyLevelsAtOnce()
    {
        var computer = new GainComputer(-20, 3, 5, rangeDb: 9);
        double[] levelsDb = [.. Enumerable.Range(0, 203).Select(index => -60 + (0.37 * index))];
        var reductionDb = new double[203];
        computer.ReductionDb(levelsDb, reductionDb);
        Assert.Equal(levelsDb.Select(computer.ReductionDb), reductionDb);
    }
}
