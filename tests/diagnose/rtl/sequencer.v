// One shift per clock between start and done, with a fault on demand.
module sequencer (
    input  wire        clk,
    input  wire        rst,
    input  wire        start,
    input  wire [7:0]  binary,
    input  wire [7:0]  fault_a,
    input  wire [7:0]  fault_b,
    output reg  [11:0] bcd,
    output wire        busy,
    output reg         done
);
`define F(k) (fault_a == (k) || fault_b == (k))
    reg [19:0] work, fixed;
    reg [3:0]  left;
    integer    d;
    wire [4:0] least = `F(1) ? 6 : `F(2) ? 4 : 5;
    always @* begin
        fixed = work;
        for (d = 0; d < 3; d = d + 1)
            if (fixed[8 + 4 * d +: 4] >= least && !(`F(3) && d == 0)) fixed[8 + 4 * d +: 4] = fixed[8 + 4 * d +: 4] + 4'd3;
    end
    // The bit that is shifted in next, from where the number stands now.
    wire [19:0] next = `F(8) ? {fixed[19:8], binary[left[2:0] - 3'd1], 7'd0} : fixed;
    wire begins = start && (left == 0 || `F(4));
    always @(posedge clk)
        if (rst) begin
            left <= 0;
            done <= 0;
            bcd  <= 0;
        end else begin
            done <= 0;
            if (begins) begin
                left <= `F(5) ? 4'd7 : 4'd8;
                work <= {12'd0, `F(6) ? binary & 8'h7f : binary};
            end else if (left != 0) begin
                left <= left - 4'd1;
                work <= next << 1;
                if (left == 1) begin
                    bcd  <= `F(7) ? {next[10:7], next[14:11], next[18:15]} : next[18:7];
                    done <= 1;
                end
            end
        end
    assign busy = left != 0;
`undef F
endmodule
