// 12 MHz to a tick every millisecond, in two stages: the first makes microseconds.
module millisecond #(
    parameter CLOCKS_PER_US = 12,
    parameter US_PER_TICK   = 1000
) (
    input  wire clk,
    input  wire rst_n,
    output reg  tick
);
    wire microsecond, full;
    reg  full_q;

    prescaler #(.RATIO(CLOCKS_PER_US)) u_us (.clk(clk), .rst_n(rst_n), .enable(1'b1), .full(microsecond));
    prescaler #(.RATIO(US_PER_TICK))   u_ms (.clk(clk), .rst_n(rst_n), .enable(microsecond), .full(full));

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            full_q <= 1'b0;
            tick   <= 1'b0;
        end else begin
            full_q <= full;
            tick   <= full | full_q;
        end
endmodule
