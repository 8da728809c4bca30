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
}
