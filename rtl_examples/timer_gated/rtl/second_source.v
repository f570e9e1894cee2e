// The second of the workshop clock: it never waits for anybody.
module second_source #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire clk,
    input  wire rst_n,
    output wire second
);
    reg [$clog2(CLK_HZ)-1:0] clocks;

    assign second = clocks == CLK_HZ - 1;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)      clocks <= 0;
        else if (second) clocks <= 0;
        else             clocks <= clocks + 1;
endmodule
